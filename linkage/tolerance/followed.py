"""What is followed from gear to gear: names of results, and what the drawn gear says of where to look."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.actuation.springs import SpringLaw
from linkage.tolerance.assembly import Blueprint
from linkage.tolerance.loose import Stray
from linkage.tolerance.places import Spot, Watch

OFFSET, TRAVEL, TILT = (
    "over-centre offset left, mm",
    "actuator travel left at the lock, mm",
    "steer-axis tilt down, deg",
)
DEAD = "actuator travel, dead centre to lock, mm"
LEAN, PUSH, FORCE_LEFT = (
    "least transmission angle, deg",
    "greatest push, weight and springs, N",
    "actuator force left, N",
)
ASKED = "actuator force left with friction and air, N"
"""Looked at one gear at a time, see `linkage.tolerance.asked`."""
SHARE_MIN, SHARE_MAX = "least nose share, %", "greatest nose share, %"
LENGTH_DOWN, LENGTH_UP = "actuator length down, mm", "actuator length up, mm"
SWING, DRIVEN_UP, OFF_PLACE = (
    "leg swing to leg-up, deg",
    "driven rotation to leg-up, deg",
    "axle up, off its place, mm",
)
"""Names of results, each with its unit."""

GAP, SELF_GAP, STATE = "gap to ", "gap of the gear to itself, mm", "least margin in state "


def spring_length(name: str, where: str) -> str:
    return f"{name} length {where}, mm"


def spring_force(name: str, where: str) -> str:
    return f"{name} force {where}, N"


def gap_name(item: str) -> str:
    return f"{GAP}{item}, mm"


def state_name(state: str) -> str:
    return f"{STATE}{state}, mm"


def is_gap(result: str) -> bool:
    """A gap, or what gaps have beyond what is required."""
    return result == SELF_GAP or result.startswith((GAP, STATE))


@dataclass(frozen=True)
class LeftOut:
    """A state of the study that is not followed, and why."""

    state: str
    why: str


@dataclass(frozen=True)
class Share:
    """One loading with an extreme nose share: kg, CG and empty mass and CG as weighed, FS + 1j*WL mm."""

    name: str
    mass: float
    cg: complex
    empty: float
    empty_cg: complex


@dataclass(frozen=True)
class Setting:
    """Everything needed to judge a family. Of the actuator as drawn, mm: ``length_down``, ``length_up``, and ``back``,
    how far it is driven back on the way into the lock; ``way`` is +1 where it grows to raise the gear. ``dead``: its
    travel from dead centre to the lock is followed, as it pushes all that way on a brace that its own stop holds.
    ``watches``: places that may be the least of their result within the tolerances, ``all_watches``: all not far from
    it; ``left_out``: states of the study that are not followed; ``strays``: what play lets parts stray in states."""

    plan: Blueprint
    watches: tuple[Watch, ...]
    all_watches: tuple[Watch, ...]
    left_out: tuple[LeftOut, ...]
    shares: tuple[Share, ...]
    push_spot: Spot | None
    lean_spot: Spot
    laws: tuple[SpringLaw, ...]
    length_down: float
    length_up: float
    way: float
    driven_up: float
    axle_up: complex
    back: float
    dead: bool
    strays: tuple[Stray, ...] = ()

    @property
    def tightest(self) -> tuple[Watch, ...]:
        """Of each gap that is followed, where its margin is least as drawn."""
        found: dict[str, Watch] = {}
        for w in self.watches:
            if w.result not in found or w.margin < found[w.result].margin:
                found[w.result] = w
        return tuple(found.values())

    @property
    def own_end(self) -> bool:
        """The actuator's own end stop ends the stroke, not a stop at the leg."""
        stop = self.plan.study.gear.up_stop
        return stop is not None and stop.kind == "actuator" and self.way != 0.0
