"""Published tyre growth and steering geometry."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from linkage.report.validation.model import Case, case
from linkage.steering import flop_factor, ground_trail, normal_trail, steer_lift
from linkage.tyres import PUBLISHED, grown

MAKER = "manufacturer tables of grown sizes"
TRAIL = "steering geometry in its standard form, worked by hand"


def wheel_cases() -> Iterator[Case]:
    for name, size, diameter, width, within in (
        ("26x6.6", (25.75, 6.65, 14.0), "26.32", "6.92", (None, None)),
        ("40x14", (39.80, 14.00, 16.0), "41.02", "14.56", (None, None)),
        ("49x17", (48.75, 17.25, 20.0), "50.26", "17.94", (None, None)),
        # What the growth form is known to reproduce these tables to.
        ("14.5x5.5-6", (14.50, 5.50, 6.0), "15.00", "5.75", (0.02, 0.03)),
        ("16x4.4", (16.00, 4.45, 8.0), "16.40", "4.65", (0.02, 0.03)),
    ):
        found = grown(*size)
        yield case("T", MAKER, "READ", f"{name}, grown diameter", diameter, "in", lambda g=found: g.diameter, within[0])  # type: ignore[misc]
        yield case("T", MAKER, "READ", f"{name}, grown width", width, "in", lambda g=found: g.width, within[1])  # type: ignore[misc]
    row = PUBLISHED["5.00-5"]
    small = grown(row.diameter_max, row.width_max, row.rim)
    form = "Tire and Rim Association growth form (MEM), worked by hand"
    yield case("T", form, "CALC", "5.00-5, grown diameter", "14.62", "in", lambda: small.diameter)
    yield case("T", form, "CALC", "5.00-5, grown width", "5.15", "in", lambda: small.width)
    yield from _trails()


def _trails() -> Iterator[Case]:
    for name, radius, tilt, offset, trail, normal, lift, flop in (
        ("A", 150.0, 0.0, 60.0, "60.00", "60.00", "0.000", "0.00"),
        ("B", 150.0, 7.0, 0.0, "18.42", "18.28", "0.279", "2.23"),
        ("C", 150.0, 10.0, 40.0, "67.07", "66.05", "1.497", "11.47"),
        ("D", 150.0, -10.0, 80.0, "54.79", "53.95", "-1.295", "-9.37"),
    ):
        phi, what = math.radians(tilt), f"R {radius:g}, tilt {tilt:+g} deg, offset {offset:g} mm"
        data = (radius, phi, offset)
        yield case(name, TRAIL, "CALC", f"trail, {what}", trail, "mm", lambda d=data: ground_trail(*d))  # type: ignore[misc]
        yield case(name, TRAIL, "CALC", "normal trail", normal, "mm", lambda d=data: normal_trail(*d))  # type: ignore[misc]
        steered = "rise when steered 30 deg"
        yield case(name, TRAIL, "CALC", steered, lift, "mm", _lift(*data))
        yield case(name, TRAIL, "CALC", "flop factor", flop, "mm", lambda d=data: flop_factor(*d))  # type: ignore[misc]
    what = "trail, R 600, tilt 5 deg, offset -22 mm"
    compute = lambda: ground_trail(600.0, math.radians(5.0), -22.0)  # noqa: E731
    yield case("E", "published steering example", "READ", what, "30.409", "mm", compute)


def _lift(radius: float, tilt: float, offset: float) -> Callable[[], float]:
    return lambda: steer_lift(radius, tilt, offset, math.radians(30.0))
