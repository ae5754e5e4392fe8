"""The causes of force over the stroke as data: for each the loads of one unit of it, at every pose.

Every force of a pose is a mixture of these units: newtons of a spring, of the air or of the actuator, load factors of
the weight, accelerations of the masses, newton millimetres of friction at a pin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.actuation.air import area_part, wind
from linkage.document.study import Study
from linkage.gear import LEG, LOCK_LOWER, LOCK_UPPER, LOWER, UPPER, BodyPoint, Gear, PointMass, Tie
from linkage.mechanism import newton
from linkage.mechanism.model import Complexes, Floats, Pin, Slide
from linkage.mechanism.motion import Motion
from linkage.mechanism.responses import responses
from linkage.mechanism.statics import Load
from linkage.plane.vectors import dot
from linkage.units import STANDARD_GRAVITY

WEIGHT, AIR, ACTUATOR, SPEEDING, TURNING = "weight", "air", "actuator", "acceleration", "speed squared"
PER_SECOND2 = 1e-3
"""N for kg mm/s2."""


@dataclass(frozen=True)
class Units:
    """What one unit of every source does. Arrays over poses last; sources and joints first, in the order of their
    names.

    ``moment``: generalised force at the driven link, N mm, positive towards up (sources, poses). ``effort``: torque
    at the driving pin that would hold it, from the equilibrium of all pins (the second road to the moment; its sign
    is that of the kernel). ``force``: of body a on b at each joint (joints, sources, poses). ``spin``: turn of b on a
    at each joint per rad towards up, 0 at slides. ``friction``: radius of the friction circle of each joint, mm.

    Units: 1 g of weight; 1 N of air load gear down, of each spring's push, of each lock spring's pull and of the
    actuator's push; 1 rad/s2 and 1 (rad/s)2 of the driven link; 1 N mm of couple on b at each joint with friction.
    """

    sources: tuple[str, ...]
    joints: tuple[str, ...]
    moment: Floats
    effort: Floats
    force: Complexes
    spin: Floats
    friction: Floats
    couples: tuple[int, ...]
    """Joints with friction, in the order of the last sources."""

    def of(self, source: str) -> Floats:
        return np.asarray(self.moment[self.sources.index(source)])

    @property
    def inertia(self) -> Floats:
        """Reduced inertia at the driven link, N mm s2."""
        return -self.of(SPEEDING)

    @property
    def inertia_rate(self) -> Floats:
        """Its derivative by the driven rotation, N mm s2 / rad."""
        return -2.0 * self.of(TURNING)


def units(study: Study, gear: Gear, motion: Motion, masses: Sequence[PointMass] | None = None) -> Units:
    """Unit forces at the poses of ``motion`` (second coefficients needed) for the study's masses, or those given."""
    masses = gear.masses if masses is None else tuple(masses)
    radii = np.array([_friction_radius(study, j) for j in gear.mechanism.joints])
    couples = tuple(int(i) for i in np.flatnonzero(radii > 0))
    sets: dict[str, list[Load]] = {
        WEIGHT: [Load(m.at.body, m.at.at, -1j * STANDARD_GRAVITY * m.kg) for m in masses],
        SPEEDING: _inertia(masses, motion, gear.drive_sense, first=True),
        TURNING: _inertia(masses, motion, gear.drive_sense, first=False),
        AIR: air_load(study, gear, motion),
        ACTUATOR: along(gear, motion, gear.effort_at),
    }
    sets |= {name: along(gear, motion, name) for name in gear.springs}
    sets |= {tie.name: tie_load(motion, tie) for tie in gear.ties}
    sets |= {f"friction at {gear.mechanism.joints[i].name}": _couple(gear.mechanism.joints[i]) for i in couples}
    found = responses(gear.mechanism, motion, list(sets.values()), gear.mechanism.driver)
    return Units(
        tuple(sets),
        tuple(j.name for j in gear.mechanism.joints),
        np.stack([gear.drive_sense * power(motion, loads)[0] for loads in sets.values()]),
        found.effort[:, 0],
        np.stack([found.joint[j.name][:, 0] for j in gear.mechanism.joints]),
        np.stack([gear.drive_sense * _relative_spin(motion, j)[0] for j in gear.mechanism.joints]),
        radii,
        couples,
    )


def power(motion: Motion, loads: Sequence[Load]) -> Floats:
    """Work of the loads per unit of the mechanism's coordinate: (designs, poses)."""
    total: Any = np.zeros(motion.margin.shape)
    for load in loads:
        total = total + dot(motion.velocity(load.body, load.at), np.asarray(load.force))
        total = total + motion.spin(load.body) * load.couple
    return np.asarray(total)


def along(gear: Gear, motion: Motion, name: str) -> list[Load]:
    """One newton of push in a telescoping pair (its slide is called ``name``), or one newton millimetre at a pin."""
    joint = gear.mechanism.joint(name)
    if isinstance(joint, Pin):
        return _couple(joint)
    axis = newton.axis_of(motion.state, joint)
    return [Load(joint.b, joint.at, axis), Load(joint.a, joint.at, -axis)]


def brace_masses(gear: Gear, kg: float) -> tuple[PointMass, ...]:
    """The links of brace and lock as slender bars of ``kg`` together, shared by length; not those that the study
    weighs."""
    ends = (
        (UPPER, "upper pin", "knee"),
        (LOWER, "knee", "lug"),
        (LOCK_UPPER, "lock root", "lock knee"),
        (LOCK_LOWER, "lock knee", "lock pin"),
    )
    bars = {b: (gear.pins[p].at, gear.pins[q].at) for b, p, q in ends if b in gear.mechanism.bodies}
    whole = sum(abs(q - p) for p, q in bars.values())
    weighed = {m.at.body for m in gear.masses}
    return tuple(
        PointMass(body, kg * abs(q - p) / whole, BodyPoint(body, 0.5 * (p + q)), abs(q - p) / math.sqrt(12))
        for body, (p, q) in bars.items()
        if body not in weighed and kg > 0
    )


def _inertia(masses: Sequence[PointMass], motion: Motion, sense: float, first: bool) -> list[Load]:
    """D'Alembert's forces of one unit of driven acceleration, or of driven speed squared."""
    out = []
    for m in masses:
        way = sense * motion.velocity(m.at.body, m.at.at) if first else motion.acceleration(m.at.body, m.at.at)
        turn = sense * motion.spin(m.at.body) if first else motion.spin_rate(m.at.body)
        out.append(Load(m.at.body, m.at.at, -PER_SECOND2 * m.kg * way, -PER_SECOND2 * m.kg * m.gyration**2 * turn))
    return out


def air_load(study: Study, gear: Gear, motion: Motion) -> list[Load]:
    """One newton of air with the gear down, less at each pose as its area is; none without air in the study."""
    if study.air is None:
        return []
    push = area_part(study, gear, gear.leg_sense * motion.angle(LEG)) * wind(study.air)
    return [Load(LEG, gear.on_leg(study.air.centre_below_trunnion), push)]


def tie_load(motion: Motion, tie: Tie) -> list[Load]:
    """One newton of pull of a lock spring."""
    apart = _apart(motion, tie.start, tie.end)
    pull = apart / np.abs(apart)
    return [Load(tie.start.body, tie.start.at, pull), Load(tie.end.body, tie.end.at, -pull)]


def _apart(motion: Motion, start: BodyPoint, end: BodyPoint) -> Complexes:
    return np.asarray(motion.point(end.body, end.at) - motion.point(start.body, start.at))


def _couple(joint: Pin | Slide) -> list[Load]:
    return [Load(joint.b, joint.at, 0j, 1.0), Load(joint.a, joint.at, 0j, -1.0)]


def _friction_radius(study: Study, joint: Pin | Slide) -> float:
    friction = study.gear.friction
    return friction.at(joint.name) if friction is not None and isinstance(joint, Pin) else 0.0


def _relative_spin(motion: Motion, joint: Pin | Slide) -> Floats:
    turn = motion.spin(joint.b) - motion.spin(joint.a)
    return np.asarray(turn if isinstance(joint, Pin) else 0.0 * turn)


def tie_length(motion: Motion, tie: Tie) -> Floats:
    """Length of a lock spring at every pose, mm (poses,)."""
    return np.asarray(span(motion, tie.start, tie.end)[0])


def span(motion: Motion, start: BodyPoint, end: BodyPoint) -> Floats:
    """Length between two points, mm (designs, poses)."""
    return np.abs(_apart(motion, start, end))
