"""The gear let go: what falls, and what acts on it in a given state."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.actuation.air import PASCAL, dynamic_pressure
from linkage.actuation.conditions import Condition
from linkage.actuation.sources import Units, brace_masses, units
from linkage.actuation.springs import SpringLaw, spring_law, state_factor
from linkage.document.drive import Emergency
from linkage.document.study import Study
from linkage.gear import LEG, Gear, PointMass
from linkage.mechanism.model import Floats
from linkage.stroke import Stroke, motion_at, swing_at


@dataclass(frozen=True)
class Faller:
    """The study's gear with its actuator let go: what does not change from state to state. Lengths in mm.

    ``whole_area``: the study with its drag area the same all the way, for the units. ``lock_lengths``: of the
    actuator and the springs in the lock. ``leg_inertia``: of all that is on the leg, about the trunnion, N mm s2.
    ``first_contact``: driven rotation, rad, at which the leg first comes to its locked place, on its way to the dead
    centre. ``slipstream``: of the propeller, as the square of the air speed that it adds, m2/s2.
    """

    study: Study
    whole_area: Study
    gear: Gear
    stroke: Stroke
    entry: Emergency
    masses: tuple[PointMass, ...]
    springs: tuple[SpringLaw, ...]
    lock_lengths: dict[str, float]
    leg_inertia: float
    first_contact: float
    slipstream: float

    def units_at(self, driven: Floats) -> Units:
        return units(self.whole_area, self.gear, motion_at(self.gear, driven), self.masses)


@dataclass(frozen=True)
class Acting:
    """What acts in each of some conditions (last axis), or in one alone (no axis): factors on one unit of every cause.

    ``air``: N for a relative wind of 1 m/s; ``wind``: m/s, slipstream included; ``springs``: part of the new force.
    """

    weight: Any
    springs: Any
    air: float
    wind: Any

    def alone(self) -> Acting:
        """The first condition by itself: plain numbers, several times quicker than arrays of one."""
        return Acting(float(self.weight[0]), [float(row[0]) for row in self.springs], self.air, float(self.wind[0]))


def make_faller(study: Study, gear: Gear, stroke: Stroke) -> Faller | None:
    """None if the study has no emergency extension, or nothing on the leg that could fall."""
    entry, air, propeller = study.gear.emergency, study.air, study.airframe.propeller
    if entry is None or not _leg_inertia(gear) > 0:
        return None
    whole = study if air is None else study.model_copy(update={"air": air.model_copy(update={"area": "constant"})})
    lengths = {"actuator": stroke.actuator_length, **stroke.spring_lengths}
    spans = [(s, stroke.spring_lengths[s.name]) for s in study.gear.spring]
    blown = dynamic_pressure(0.0, 0.0, entry.thrust, propeller.diameter if propeller is not None else None)
    return Faller(
        study=study,
        whole_area=whole,
        gear=gear,
        stroke=stroke,
        entry=entry,
        masses=(*gear.masses, *brace_masses(gear, entry.brace_mass)),
        springs=tuple(spring_law(s, float(length.max()), float(length.min())) for s, length in spans),
        lock_lengths={name: float(length[0]) for name, length in lengths.items()},
        leg_inertia=_leg_inertia(gear),
        first_contact=_first_contact(gear, stroke),
        slipstream=0.0 if air is None else 2.0 * blown / air.density,
    )


def acting(faller: Faller, cases: Sequence[Condition]) -> Acting:
    air, entries = faller.study.air, faller.study.gear.spring
    factors = [[state_factor(s, c.temperature, c.health) for c in cases] for s in entries]
    return Acting(
        weight=np.array([c.load_factor for c in cases]),
        springs=np.array(factors, dtype=np.float64).reshape(len(entries), len(cases)),
        air=0.0 if air is None else 0.5 * air.density * PASCAL * air.drag_area,
        wind=np.sqrt(np.array([c.speed**2 for c in cases]) + faller.slipstream),
    )


def _leg_inertia(gear: Gear) -> float:
    on_leg = [m for m in gear.masses if m.at.body == LEG]
    return 1e-3 * math.fsum(m.kg * (abs(m.at.at - gear.pins["trunnion"].at) ** 2 + m.gyration**2) for m in on_leg)


def _first_contact(gear: Gear, stroke: Stroke) -> float:
    """By bisection: the leg stands as in the lock once more before it is up."""
    low, high = stroke.dead_centre, stroke.driven_up
    for _ in range(50):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if float(swing_at(gear, np.array([mid]))[0]) < 0 else (low, mid)
    return high
