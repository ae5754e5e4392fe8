"""The lock as a mechanism with a stop: where it is, what makes it, what holds it, and what shortfall loses it."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loads import GroundLoads
from linkage.lock.holding import Held, Holder, held, holders, press_of
from linkage.lock.preload import Preload, preload
from linkage.lock.seat import Seat, seat, velocity
from linkage.lock.stops import OffsetAt, Stops, offset_with_ends_held, stops
from linkage.lock.travel import LockTravel, lock_travel
from linkage.stroke import Stroke

__all__ = [
    "Held",
    "Holder",
    "Lock",
    "LockTravel",
    "OffsetAt",
    "Preload",
    "Seat",
    "Stops",
    "held",
    "holders",
    "lock",
    "lock_travel",
    "offset_with_ends_held",
    "preload",
    "press_of",
    "seat",
    "stops",
    "velocity",
]


@dataclass(frozen=True)
class Lock:
    """``offset`` in mm and ``bend`` in rad past straight of the pair that locks, None without a knee; ``travel`` too.

    ``held``: every ground condition with the brace force of either sign it has. ``release``: what opens the lock
    besides the actuator, "" if nothing is declared.
    """

    offset: float | None
    bend: float | None
    seat: Seat
    travel: LockTravel | None
    preload: Preload
    stops: Stops
    holders: tuple[Holder, ...]
    held: tuple[Held, ...]
    release: str

    @property
    def worst(self) -> Held:
        """The load with the least margin."""
        return min(self.held, key=lambda h: h.margin)


def lock(study: Study, gear: Gear, stroke: Stroke, loads: GroundLoads) -> Lock:
    """Everything about the lock down. Works for a knee, lock links, a telescoping brace and a sliding root alike."""
    at, pair = seat(gear, stroke), gear.locking
    least = study.limits.over_centre.min
    pre = preload(study, gear, stroke, at)
    return Lock(
        offset=pair.shape.over_centre if pair else None,
        bend=pair.shape.over_centre_angle if pair else None,
        seat=at,
        travel=lock_travel(gear, stroke, least if least is not None else 0.0),
        preload=pre,
        stops=stops(study.gear, gear),
        holders=holders(study, gear, stroke, at),
        held=held(study, gear, stroke, at, loads, pre),
        release=study.gear.lock.release if study.gear.lock else "",
    )
