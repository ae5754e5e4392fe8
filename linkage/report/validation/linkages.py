"""Textbook linkages, drawn for the kernel, and the two roads to the effort that holds one."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence

from linkage.mechanism import GROUND, Load, Mechanism, Motion, Pin, Slide, balance, effort_by_work

Found = tuple[Mechanism, Motion]
Road = Callable[[Mechanism, Motion, Sequence[Load], str], float]
"""Effort in the pose of a motion at the named joint, in the unit of the loads."""


def by_pins(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], at: str) -> float:
    return float(balance(mechanism, motion, loads, at).effort[0, 0])


def by_work(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], at: str) -> float:
    return float(effort_by_work(mechanism, motion, loads, at)[0, 0])


ROADS: tuple[tuple[str, Road], ...] = (("pin forces", by_pins), ("virtual work", by_work))


def meet(a: complex, ra: float, b: complex, rb: float, side: int) -> complex:
    """Where the circles about a and b meet, left (side 1) or right (-1) of the line a-b: by the law of cosines."""
    d = abs(b - a)
    angle = math.acos((ra * ra + d * d - rb * rb) / (2.0 * ra * d))
    return a + ra * (b - a) / d * cmath.exp(1j * side * angle)


def four_bar(crank: float, coupler: float, rocker: float, base: float, drawn: float, side: int = 1) -> Mechanism:
    """Pivots at 0 and ``base``, drawn with the crank at ``drawn`` rad; ``side`` 1 is the open circuit."""
    a = cmath.rect(crank, drawn)
    return Mechanism(
        (
            Pin("crank pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "coupler", a),
            Pin("rocker pin", "coupler", "rocker", meet(a, coupler, base + 0j, rocker, side)),
            Pin("rocker pivot", GROUND, "rocker", base + 0j),
        ),
        "crank pivot",
    )


def slider_crank(crank: float, rod: float, offset: float, drawn: float, side: int = 1) -> Mechanism:
    """Crank about 0, slider on the line y = offset, to the right of the crank pin (side 1) or to the left (-1)."""
    a = cmath.rect(crank, drawn)
    c = complex(a.real + side * math.sqrt(rod**2 - (offset - a.imag) ** 2), offset)
    return Mechanism(
        (
            Pin("crank pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "rod", a),
            Pin("slider pin", "rod", "slider", c),
            Slide("guide", GROUND, "slider", c, 1.0 + 0j),
        ),
        "crank pivot",
    )


def bar_angle(found: Found, body: str, start: str, end: str) -> float:
    """Angle in degrees of the line from one joint to another on a body."""
    mechanism, motion = found
    a, b = (complex(motion.point(body, mechanism.joint(name).at)[0, 0]) for name in (start, end))
    return math.degrees(cmath.phase(b - a))
