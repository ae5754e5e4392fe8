"""Published loads of columns."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from linkage.loads.columns import crippling_load, euler_load
from linkage.report.validation.model import Case, case


def hibbeler_materials() -> Iterator[Case]:
    """Examples 13.1 and 13.2, both editions of the first."""
    inputs = "ex. 13.1: tube, radii 3 and 2.75 in, 24 ft, pinned, E 29000 ksi"
    tube = partial(euler_load, 29000.0, math.pi / 4.0 * (3.0**4 - 2.75**4), 288.0)
    yield case("C1", "MEM", inputs, "critical load", "64.5", "kip", tube)
    inputs = "ex. 13.1, SI: tube, radii 75 and 70 mm, 7.2 m, pinned, E 200 GPa"
    metric = lambda: euler_load(200e3, math.pi / 4.0 * (75.0**4 - 70.0**4), 7200.0) / 1e3  # noqa: E731
    yield case("C1", "MEM", inputs, "critical load", "228.2", "kN", metric)
    inputs = "ex. 13.2: W8x31, I 37.1 in4, 12 ft, pinned, E 29000 ksi"
    yield case("C2", "MEM", inputs, "critical load", "512", "kip", partial(euler_load, 29000.0, 37.1, 144.0))


def aisc_columns() -> Iterator[Case]:
    """Allowable stress of AISC's older specification: the parabola that touches Euler's curve at half the yield stress,
    and that curve, over its safety factor. 36 ksi, E 29000 ksi."""
    for strength, printed in ((36.0, "126.1"), (50.0, "107.0")):
        inputs = f"yield {strength:g} ksi: where parabola and Euler's curve meet"
        yield case("C3", "MEM", inputs, "slenderness C_c", printed, "1", partial(meeting, strength))
    for slenderness, printed in ((50.0, "18.35"), (100.0, "12.98"), (120.0, "10.28"), (150.0, "6.64"), (200.0, "3.73")):
        inputs = f"yield 36 ksi, L/r {slenderness:g}"
        yield case("C4", "MEM", inputs, "allowable stress", printed, "ksi", partial(allowable, slenderness))


def _stress(strength: float, slenderness: float) -> float:
    """Of a column of unit area and radius of gyration."""
    return crippling_load(1.0, strength, euler_load(29000.0, 1.0, slenderness))


def meeting(strength: float) -> float:
    """Slenderness at which the column carries half its yield stress, by bisection."""
    low, high = 10.0, 400.0
    for _ in range(60):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if _stress(strength, mid) > strength / 2.0 else (low, mid)
    return low


def allowable(slenderness: float) -> float:
    part = slenderness / meeting(36.0)
    safety = 5.0 / 3.0 + 3.0 / 8.0 * part - part**3 / 8.0 if part < 1.0 else 23.0 / 12.0
    return _stress(36.0, slenderness) / safety
