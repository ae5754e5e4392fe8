"""Knee offset against actuator travel: what shortfall of the actuator loses the lock."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.gear import Gear, Locking
from linkage.mechanism.dead import ROUNDING, dead_points
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import tracer
from linkage.mechanism.roots import closed_in
from linkage.plane.vectors import cross
from linkage.stroke import Stroke, actuator_rate, swing_at

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
    dead, start = stroke.dead_centres[0], float(stroke.actuator_length[0])
    way = float(np.sign(stroke.actuator_length[-1] - start))
    lock = _LockParts(gear, pair)
    shown = np.linspace(0.0, min(SHOWN * dead, stroke.driven_up), POINTS)
    back = np.linspace(0.0, stroke.dead_centre, POINTS)
    looked = np.concatenate([shown, back, [0.0, dead]])
    length, offset = lock.length(looked), lock.offset(looked)
    # the furthest place against its way is at no sample, but closed in on by the exact rate
    turns = dead_points(actuator_rate(gear), back)
    least = _driven_at_offset(lock, least_offset, dead, offset[-2:])
    beside = lock.length(np.array([least, *turns]))
    travel, turned = way * (length - start), way * (beside[1:] - start)
    return LockTravel(
        dead_driven=dead,
        dead_length=float(length[-1]),
        dead_travel=float(way * (length[-1] - length[-2])),
        least_offset=least_offset,
        least_travel=float(way * (beside[0] - length[-2])),
        back=max(0.0, -float(np.concatenate([travel[POINTS:-2], turned]).min())),
        overswing=stroke.overswing if dead == stroke.dead_centre else -float(swing_at(gear, np.array([dead]))[0]),
        curve=np.stack([travel[:POINTS], offset[:POINTS]]),
    )


class _LockParts:
    """Actuator and the pair that locks, at driven rotations."""

    def __init__(self, gear: Gear, pair: Locking) -> None:
        self.sense, start = gear.drive_sense, gear.pins[pair.near].at
        self.side = np.sign(cross(pair.shape.lug - start, pair.shape.knee - start))
        self.unit, self.links = (
            tracer(gear.plan, [(gear.pins[n].body, gear.pins[n].at) for n in names])
            for names in (("actuator root", "actuator pin"), (pair.near, pair.knee, pair.far))
        )

    def length(self, driven: Floats) -> Floats:
        """Length of the actuator, mm."""
        root, pin = self.unit(self.sense * driven)[:, 0]
        return np.asarray(np.abs(pin - root))

    def offset(self, driven: Floats) -> Floats:
        """Offset of the pair, mm, positive over centre."""
        near, knee, far = self.links(self.sense * driven)[:, 0]
        return np.asarray(self.side * cross(far - near, knee - near) / np.abs(far - near))


def _driven_at_offset(lock: _LockParts, wanted: float, dead: float, offset: Floats) -> float:
    """Driven rotation between lock and dead centre at which the offset has fallen to ``wanted``, 0 if it never was;
    ``offset``: at these two."""
    left = offset - wanted
    if left[0] <= 0:
        return 0.0
    if left[1] >= 0:
        return dead
    ends = np.array([0.0]), np.array([dead]), left[:1], left[1:]
    return float(closed_in(lambda driven: lock.offset(driven) - wanted, *ends, ROUNDING)[0])
