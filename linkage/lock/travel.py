"""Knee offset against actuator travel: what shortfall of the actuator loses the lock."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.gear import Gear
from linkage.mechanism.dead import dead_points
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.roots import closed_in
from linkage.plane.vectors import cross
from linkage.stroke import Stroke, actuator_rate_at, motion_at, swing_at

SHOWN = 3.0
"""Length of the curve, in rotations from lock to dead centre."""
POINTS = 241


@dataclass(frozen=True)
class LockTravel:
    """Of the pair that locks. Lengths in mm, angles in rad; actuator travel counts from the lock, positive the way it
    moves to raise the gear.

    ``dead_driven``, ``dead_length``: driven rotation and actuator length at its dead centre, ``dead_travel``: actuator
    travel from the lock to there, negative if the actuator is driven back by it. ``least_travel``: travel at which the
    offset has fallen to ``least_offset``. ``back``: furthest that the actuator is driven back on the way through the
    last dead centre, as far as it must run past its locked length to lock. ``curve``: rows of (travel, offset).
    """

    dead_driven: float
    dead_length: float
    dead_travel: float
    least_offset: float
    least_travel: float
    back: float
    overswing: float
    curve: Floats

    @property
    def shortfall(self) -> float:
        """How much of its last travel into the lock the actuator may lack before the knee is on centre, mm; 0 if it is
        driven back there: then it must be able to run ``back`` further."""
        return max(self.dead_travel, 0.0)


def lock_travel(gear: Gear, stroke: Stroke, least_offset: float) -> LockTravel | None:
    """None for a brace without a knee."""
    pair = gear.locking
    if pair is None or not stroke.dead_centres:
        return None
    dead = stroke.dead_centres[0]
    length = float(stroke.actuator_length[0])
    way = float(np.sign(stroke.actuator_length[-1] - length))
    grid = np.linspace(0.0, min(SHOWN * dead, stroke.driven_up), POINTS)
    motion = motion_at(gear, grid, 0)
    travel = way * (_length(gear, motion) - length)
    ends = motion_at(gear, np.array([0.0, dead, _driven_at_offset(gear, least_offset, dead)]), 0)
    at_lock, at_dead, at_least = way * (_length(gear, ends) - length)
    return LockTravel(
        dead_driven=dead,
        dead_length=length + way * float(at_dead),
        dead_travel=float(at_dead - at_lock),
        least_offset=least_offset,
        least_travel=float(at_least - at_lock),
        back=_driven_back(gear, stroke, way),
        overswing=-float(swing_at(gear, np.array([dead]))[0]),
        curve=np.stack([travel, _offset(gear, motion)]),
    )


def _driven_back(gear: Gear, stroke: Stroke, way: float) -> float:
    """Furthest place against its way, where its length turns: at no sample, but closed in on by the exact rate."""
    grid = np.linspace(0.0, stroke.dead_centre, POINTS)
    turns = dead_points(lambda x: actuator_rate_at(gear, x), grid)
    travel = way * (_length(gear, motion_at(gear, np.array([*turns, *grid]), 0)) - stroke.actuator_length[0])
    return max(0.0, -float(travel.min()))


def _length(gear: Gear, motion: Motion) -> Floats:
    root, pin = gear.pins["actuator root"], gear.pins["actuator pin"]
    return np.asarray(np.abs(motion.point(pin.body, pin.at)[0] - motion.point(root.body, root.at)[0]))


def _offset(gear: Gear, motion: Motion) -> Floats:
    """Offset of the pair that locks over the poses, mm, positive over centre; the first pose is the lock."""
    pair = gear.locking
    if pair is None:
        raise ValueError("a brace without a knee has no offset")
    near, knee, far = (motion.point(p.body, p.at)[0] for p in (gear.pins[n] for n in (pair.near, pair.knee, pair.far)))
    side = np.sign(cross(pair.shape.lug - gear.pins[pair.near].at, pair.shape.knee - gear.pins[pair.near].at))
    return np.asarray(side * cross(far - near, knee - near) / np.abs(far - near))


def _driven_at_offset(gear: Gear, wanted: float, dead: float) -> float:
    """Driven rotation between lock and dead centre at which the offset has fallen to ``wanted``; 0 if it never was."""
    ends = np.array([0.0, dead])

    def left(driven: Floats) -> Floats:
        return _offset(gear, motion_at(gear, driven, 0)) - wanted

    lock, centre = left(ends)
    if lock <= 0:
        return 0.0
    if centre >= 0:
        return dead
    return float(closed_in(left, ends[:1], ends[1:], np.array([lock]), np.array([centre]))[0])
