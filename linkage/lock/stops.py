"""Which stops set the lock. One is right: a second one fights it, and the offset is left to chance."""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.document.gear import GearEntry
from linkage.gear import BraceShape, Gear


@dataclass(frozen=True)
class OffsetAt:
    """Offset in mm that results with the ends of the pair held and its links together ``error`` mm too long; ``lack``:
    by how much the links are too short to reach at all, mm, and ``offset`` is then None."""

    error: float
    offset: float | None
    lack: float


@dataclass(frozen=True)
class Stops:
    """``present``: every stop that sets the lock; ``held_ends``: offsets if the ends of the pair are held by another
    stop than its own."""

    present: tuple[str, ...]
    held_ends: tuple[OffsetAt, ...]


def stops(entry: GearEntry, gear: Gear) -> Stops:
    """A knee stop is there unless it is denied, or lock links take its place."""
    own = entry.brace.stop if entry.brace.stop is not None else entry.lock_link is None
    names = {"folding": "knee stop", "telescoping": "stop in the brace", "sliding root": "stop of the track"}
    present = [names[gear.brace.kind]] if own else []
    present += ["lock-link stop"] if entry.lock_link is not None and entry.lock_link.stop else []
    present += ["leg stop"] if entry.leg.stop else []
    if gear.locking is None or entry.lock is None:
        return Stops(tuple(present), ())
    pair = gear.brace if entry.leg.stop and gear.brace.has_knee else gear.locking.shape
    error = entry.lock.length_error
    return Stops(tuple(present), tuple(offset_with_ends_held(pair, e) for e in (-error, 0.0, error)))


def offset_with_ends_held(pair: BraceShape, error: float) -> OffsetAt:
    """The closure solved again with the distance of the pair's ends as drawn and the first link ``error`` mm longer."""
    first, second, span = pair.upper_link + error, pair.lower_link, pair.span
    foot = (span**2 + first**2 - second**2) / (2 * span)
    square = first**2 - foot**2
    if square < 0:
        return OffsetAt(error, None, span - first - second)
    return OffsetAt(error, math.copysign(math.sqrt(square), pair.over_centre), 0.0)
