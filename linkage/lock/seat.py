"""How the lock bears on its stop: one number in N, the same for every kind of lock.

Everything that acts on the locked gear has a generalised force on its one coordinate. Divided by the rate at which the
lock leaves its stop, it is the force there: at a knee square to its line, in a telescoping brace along the brace, at a
sliding root along its track. For the knee it equals P h (1/a1 + 1/a2) with the axial force P of the pair, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

from linkage.gear import BraceShape, Gear
from linkage.mechanism.statics import travel_rate
from linkage.plane.vectors import dot
from linkage.stroke import Stroke

KNEE, ALONG_BRACE, ALONG_TRACK = "knee, square to its line", "lock, along the brace", "lock, along the track"


@dataclass(frozen=True)
class Seat:
    """``what``: where and which way forces of the lock are stated. ``rate``: travel off the stop per unit of driven
    rotation towards up, mm/rad, positive. ``pull_rate``: travel of the knee itself that a spring scale would see.
    ``shape``: the pair that locks, None without a knee."""

    what: str
    rate: float
    pull_rate: float
    shape: BraceShape | None


def seat(gear: Gear, stroke: Stroke) -> Seat:
    """The stop of the lock, in the locked position."""
    pair = gear.locking
    if pair is None:
        slide, what = ("track", ALONG_TRACK) if gear.brace.kind == "sliding root" else ("brace", ALONG_BRACE)
        rate = abs(float(travel_rate(stroke.motion, gear.mechanism, slide)[0, 0]))
        return Seat(what, rate, rate, None)
    near, knee, far = (velocity(gear, stroke, name) for name in (pair.near, pair.knee, pair.far))
    shape, start = pair.shape, gear.pins[pair.near].at
    share = float(dot(shape.knee - start, shape.lug - start)) / shape.span**2
    off_line = knee - (1 - share) * near - share * far  # relative to the line through both ends
    # the offset h lies at -fold, so leaving the stop is motion along the fold; turning of the line does no more
    return Seat(KNEE, float(dot(off_line, shape.fold)), float(dot(knee, shape.fold)), shape)


def velocity(gear: Gear, stroke: Stroke, pin: str) -> complex:
    """Velocity of a pin in the lock, FS + 1j*WL, per unit of driven rotation towards up, mm/rad."""
    point = gear.pins[pin]
    return gear.drive_sense * complex(stroke.motion.velocity(point.body, point.at)[0, 0])
