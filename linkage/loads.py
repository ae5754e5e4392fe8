"""Ground loads on the locked gear: brace, knee stop and trunnion for each condition.

All forces are LIMIT loads. The locked brace is one strut between upper pin and lug: its stop works between its own two
links, so along its line it carries the axial force P and at the knee the couple P*h, h being the over-centre offset.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.document.study import Study
from linkage.gear import BraceShape, Gear
from linkage.plane.vectors import cross
from linkage.stance import Ground

EDITION = "14 CFR Part 23, 2015 edition (before amendment 64)"


@dataclass(frozen=True)
class Condition:
    """A ground condition as data: factors on the static nose load; ``aft`` is a fraction of the vertical."""

    name: str
    rule: str
    vertical: float
    aft: float
    at: str = "axle"


CONDITIONS = (
    Condition("static 1 g", "statics", 1.0, 0.0),
    Condition("aft load", f"{EDITION}, 23.499(a)", 2.25, 0.8),
    Condition("forward load", f"{EDITION}, 23.499(b)", 2.25, -0.4),
)


@dataclass(frozen=True)
class LockedLoad:
    """Loads of one condition, N and N mm, limit. ``wheel``: on the wheel by the ground (FS aft + 1j*WL up).

    ``brace``: axial, compression positive. ``stop``: square to the line upper pin - lug, positive presses the knee onto
    its stop. ``stop_couple``: the couple the stop carries between the links. ``trunnion`` and ``upper_pin``: on the airframe.
    """

    condition: Condition
    wheel: complex
    brace: float
    stop: float
    stop_couple: float
    trunnion: complex
    upper_pin: complex


def brace_axial(gear: Gear, at: complex, force: complex) -> float:
    """Axial force of the locked brace (compression +) from moments about the trunnion, for a force on the leg at ``at``."""
    trunnion, upper = gear.pins["trunnion"].at, gear.pins["upper pin"].at
    line = (gear.brace.lug - upper) / gear.brace.span
    return float(-cross(at - trunnion, force) / cross(gear.brace.lug - trunnion, line))


def stop_force(brace: BraceShape, axial: float) -> float:
    """P h (1/a1 + 1/a2), a1 and a2 being the links' lengths along the brace line: equilibrium of the knee, exact."""
    h = brace.over_centre
    a1, a2 = (math.sqrt(length**2 - h * h) for length in (brace.upper_link, brace.lower_link))
    return axial * h * (1 / a1 + 1 / a2)


def locked_load(gear: Gear, ground: Ground, condition: Condition, nose_load: float) -> LockedLoad:
    """One condition on the static nose load in N, strut at its static compression."""
    vertical = condition.vertical * nose_load
    along = complex(math.cos(ground.pitch), math.sin(ground.pitch))
    wheel = vertical * complex(condition.aft, 1.0) * along
    at = ground.axle if condition.at == "axle" else ground.nose
    axial = brace_axial(gear, at, wheel)
    line = (gear.brace.lug - gear.pins["upper pin"].at) / gear.brace.span
    return LockedLoad(
        condition,
        wheel,
        axial,
        stop_force(gear.brace, axial),
        axial * gear.brace.over_centre,
        wheel + axial * line,
        -axial * line,
    )


@dataclass(frozen=True)
class GroundLoads:
    nose_load: float
    locked: tuple[LockedLoad, ...]

    def of(self, name: str) -> LockedLoad:
        return next(load for load in self.locked if load.condition.name == name)


def ground_loads(study: Study, gear: Gear, ground: Ground, nose_load: float) -> GroundLoads:
    """All conditions on the greatest static nose load."""
    return GroundLoads(nose_load, tuple(locked_load(gear, ground, c, nose_load) for c in CONDITIONS))
