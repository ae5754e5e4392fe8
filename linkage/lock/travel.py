"""Knee offset against actuator travel: what shortfall of the actuator loses the lock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.gear import Gear
from linkage.mechanism.dead import ROUNDING, dead_points
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import trace
from linkage.mechanism.roots import closed_in
from linkage.plane.vectors import cross
from linkage.stroke import Stroke, actuator_rate_at, swing_at

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
    """Actuator travel between lock and dead centre, ``least_offset`` in mm; None for a brace without a knee."""
    pair = gear.locking
    if pair is None or not stroke.dead_centres:
        return None
    dead = stroke.dead_centres[0]
    length = float(stroke.actuator_length[0])
    way = float(np.sign(stroke.actuator_length[-1] - length))
    grid = np.linspace(0.0, min(SHOWN * dead, stroke.driven_up), POINTS)
    travel = way * (_length(gear, grid) - length)
    ends = np.array([0.0, dead, _driven_at_offset(gear, least_offset, dead)])
    at_lock, at_dead, at_least = way * (_length(gear, ends) - length)
    return LockTravel(
        dead_driven=dead,
        dead_length=length + way * float(at_dead),
        dead_travel=float(at_dead - at_lock),
        least_offset=least_offset,
        least_travel=float(at_least - at_lock),
        back=_driven_back(gear, stroke, way),
        overswing=-float(swing_at(gear, np.array([dead]))[0]),
        curve=np.stack([travel, _offset(gear, grid)]),
    )


def _driven_back(gear: Gear, stroke: Stroke, way: float) -> float:
    """Furthest place against its way, where its length turns: at no sample, but closed in on by the exact rate."""
    grid = np.linspace(0.0, stroke.dead_centre, POINTS)
    turns = dead_points(lambda x: actuator_rate_at(gear, x), grid)
    travel = way * (_length(gear, np.array([*turns, *grid])) - stroke.actuator_length[0])
    return max(0.0, -float(travel.min()))


def _places(gear: Gear, driven: Floats, names: Sequence[str]) -> Complexes:
    """Of pins at driven rotations, (pins, poses)."""
    return trace(gear.plan, gear.drive_sense * driven, [(gear.pins[n].body, gear.pins[n].at) for n in names])[:, 0]


def _length(gear: Gear, driven: Floats) -> Floats:
    root, pin = _places(gear, driven, ("actuator root", "actuator pin"))
    return np.asarray(np.abs(pin - root))


def _offset(gear: Gear, driven: Floats) -> Floats:
    """Offset of the pair that locks at driven rotations, mm, positive over centre."""
    pair = gear.locking
    if pair is None:
        raise ValueError("a brace without a knee has no offset")
    near, knee, far = _places(gear, driven, (pair.near, pair.knee, pair.far))
    side = np.sign(cross(pair.shape.lug - gear.pins[pair.near].at, pair.shape.knee - gear.pins[pair.near].at))
    return np.asarray(side * cross(far - near, knee - near) / np.abs(far - near))


def _driven_at_offset(gear: Gear, wanted: float, dead: float) -> float:
    """Driven rotation between lock and dead centre at which the offset has fallen to ``wanted``; 0 if it never was."""
    ends = np.array([0.0, dead])

    def left(driven: Floats) -> Floats:
        return _offset(gear, driven) - wanted

    lock, centre = left(ends)
    if lock <= 0:
        return 0.0
    if centre >= 0:
        return dead
    return float(closed_in(left, ends[:1], ends[1:], np.array([lock]), np.array([centre]), ROUNDING)[0])
