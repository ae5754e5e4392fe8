"""Units. Inside the package: mm, kg, N, N mm, s, rad. Study files carry their own and are converted on reading.

Factors are exact by definition (international inch and pound, standard gravity).
"""

from __future__ import annotations

import math
import re

STANDARD_GRAVITY = 9.80665
"""m/s2, exact."""

POUND = 0.45359237
INCH = 25.4

FACTORS: dict[str, dict[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": INCH, "ft": 12 * INCH},
    "mass": {"kg": 1.0, "g": 1e-3, "lb": POUND},
    "force": {"N": 1.0, "kN": 1e3, "lbf": POUND * STANDARD_GRAVITY, "daN": 10.0},
    "speed": {"m/s": 1.0, "km/h": 1 / 3.6, "kt": 1852 / 3600, "ft/s": 12 * INCH / 1000, "mph": 1609.344 / 3600},
    "angle": {"deg": 1.0, "rad": 180.0 / math.pi},
    "area": {"mm2": 1.0, "cm2": 100.0, "m2": 1e6, "in2": INCH**2, "ft2": (12 * INCH) ** 2},
    "section_area": {"mm2": 1.0, "cm2": 100.0, "in2": INCH**2},
    "inertia": {"mm4": 1.0, "cm4": 1e4, "in4": INCH**4},
    "pressure": {"MPa": 1.0, "kPa": 1e-3, "bar": 0.1, "psi": POUND * STANDARD_GRAVITY / INCH**2},
    "stiffness": {"N/mm": 1.0, "lbf/in": POUND * STANDARD_GRAVITY / INCH},
}
"""kind -> unit name -> how many inside units one of it is (angles are kept in degrees in documents)."""

_QUANTITY = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([A-Za-z/0-9]+)\s*")


def convert(text: str, kind: str) -> float:
    """Turn "14.2 in" into the inside unit of ``kind``; raises ``ValueError`` with the units it knows."""
    match = _QUANTITY.fullmatch(text)
    known = ", ".join(FACTORS[kind])
    if match is None:
        raise ValueError(
            f"is not a number with a unit of {kind}; expected one with {known}, as '14.2 {known.split(',')[0]}'"
        )
    number, unit = match.groups()
    if unit not in FACTORS[kind]:
        raise ValueError(f"has no unit of {kind}; expected one of {known}, not {unit!r}")
    return float(number) * FACTORS[kind][unit]


def unit_in(text: str) -> str:
    """The unit of "14.2 in"."""
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not a number with a unit")
    return match[2]
