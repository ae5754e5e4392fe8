"""Published tyre sizes and their growth, and steering geometry."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from linkage.report.validation.model import Case, case
from linkage.steering import flop_factor, ground_trail, normal_trail, steer_lift
from linkage.tyres import PUBLISHED, grown, published

HELD = "data held as printed: rounding only"
SIZES = (
    ("5.00-5 III", ("14.20", "13.65", "4.95", "4.65", "5.70"), "READ"),
    ("6.00-6 III", ("17.5", "16.8", "6.30", "5.90", "6.90"), "MEM"),
    ("13.5x6.0-4", ("13.75", "13.20", "6.10", "5.75", "5.35"), "READ"),
    ("14.5x5.5-6", ("14.50", "14.00", "5.50", "5.15", "6.10"), "READ"),
    ("15x6.0-6", ("15.20", "14.55", "6.30", "5.90", "6.10"), "READ"),
    ("16x4.4", ("16.00", "15.50", "4.45", "4.15", "6.90"), "READ"),
)
"""Diameter max and min, width max and min, static loaded radius, in; status of the widths (the rest was read)."""
COLUMNS = (
    ("diameter_max", "largest diameter"),
    ("diameter_min", "least diameter"),
    ("width_max", "largest width"),
    ("width_min", "least width"),
    ("loaded_radius", "static loaded radius"),
)


def tyre_sizes() -> Iterator[Case]:
    for size, row, widths in SIZES:
        for (field, quantity), printed in zip(COLUMNS, row, strict=True):
            status = widths if "width" in field else "READ"
            yield case("T", status, size, quantity, printed, "in", partial(_held, size, field), 0.0, HELD)


def _held(size: str, field: str) -> float:
    return float(getattr(published(size), field))


def tyre_growth() -> Iterator[Case]:
    why = "what the growth form is known to reproduce these tables to"
    for name, new, diameter, width, loose in (
        ("26x6.6", (25.75, 6.65, 14.0), "26.32", "6.92", False),
        ("40x14", (39.80, 14.00, 16.0), "41.02", "14.56", False),
        ("49x17", (48.75, 17.25, 20.0), "50.26", "17.94", False),
        ("14.5x5.5-6", (14.50, 5.50, 6.0), "15.00", "5.75", True),
        ("16x4.4", (16.00, 4.45, 8.0), "16.40", "4.65", True),
    ):
        inputs = f"{name}: new {new[0]:g} x {new[1]:g} in, rim {new[2]:g} in"
        for quantity, printed, within in (("diameter", diameter, 0.02), ("width", width, 0.03)):
            tolerance = (within, why) if loose else (None, "")
            yield case(
                "T", "READ", inputs, f"grown {quantity}", printed, "in", partial(_grown, new, quantity), *tolerance
            )
    small = PUBLISHED["5.00-5"]
    new = (small.diameter_max, small.width_max, small.rim)
    inputs = "5.00-5 by the Tire and Rim Association form (MEM)"
    for quantity, printed in (("diameter", "14.62"), ("width", "5.15")):
        yield case("T", "CALC", inputs, f"grown {quantity}", printed, "in", partial(_grown, new, quantity))


def _grown(new: tuple[float, float, float], quantity: str) -> float:
    return float(getattr(grown(*new), quantity))


def steering_geometry() -> Iterator[Case]:
    for name, radius, tilt, offset, trail, normal, lift, flop in (
        ("A", 150.0, 0.0, 60.0, "60.00", "60.00", "0.000", "0.00"),
        ("B", 150.0, 7.0, 0.0, "18.42", "18.28", "0.279", "2.23"),
        ("C", 150.0, 10.0, 40.0, "67.07", "66.05", "1.497", "11.47"),
        ("D", 150.0, -10.0, 80.0, "54.79", "53.95", "-1.295", "-9.37"),
    ):
        data = (radius, math.radians(tilt), offset)
        inputs = f"R {radius:g}, tilt {tilt:+g} deg, offset {offset:g} mm"
        yield case(name, "CALC", inputs, "trail", trail, "mm", partial(ground_trail, *data))
        yield case(name, "CALC", inputs, "normal trail", normal, "mm", partial(normal_trail, *data))
        rise = partial(steer_lift, *data, math.radians(30.0))
        yield case(name, "CALC", inputs, "rise when steered 30 deg", lift, "mm", rise)
        yield case(name, "CALC", inputs, "flop factor", flop, "mm", partial(flop_factor, *data))
    data = (600.0, math.radians(5.0), -22.0)
    yield case("E", "READ", "R 600, tilt 5 deg, offset -22 mm", "trail", "30.409", "mm", partial(ground_trail, *data))
