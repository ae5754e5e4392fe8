"""One condition's loads as a result, and which condition governs which part.

Limit and ultimate are never mixed: forces of a `ConditionLoad` are at the level its condition says, ``factor`` takes
them to ultimate, and parts are compared at ultimate.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.loads.conditions import Condition
from linkage.loads.leg import LegLoads
from linkage.loads.statics import PointLoad, Vec
from linkage.loads.worst import Corner

ROUNDING = 1e-6
"""N or N mm: what is smaller is what sums of forces leave over, and loads nothing."""


@dataclass(frozen=True, eq=False)
class ConditionLoad:
    """One condition at one loading and one strut compression (mm). N, N mm, at ``condition.level``.

    ``applied``: on the gear by ground and tow bar; ``airframe``: on the airframe by the gear, while the lock holds.
    ``brace`` and ``lock_link``: axial, compression +. ``stop``: of the pair that locks, square to its line, + presses
    its knee onto its stop; ``stop_couple``: the couple between its links. ``push_if_lost``: of the actuator if the lock
    were lost (it is 0 while the lock holds), None at a dead point. ``closure``: relative error of the balance.
    """

    condition: Condition
    corner: Corner
    strut: float
    factor: float
    applied: tuple[PointLoad, ...]
    brace: float
    lock_link: float | None
    stop: float
    stop_couple: float
    airframe: tuple[PointLoad, ...]
    push_if_lost: float | None
    leg: LegLoads
    closure: float

    @property
    def wheel(self) -> Vec:
        """Sum of what acts on the gear."""
        return np.asarray(np.sum([load.force for load in self.applied], axis=0))

    def at(self, name: str) -> PointLoad | None:
        """Load on the airframe at a named place."""
        return next((load for load in self.airframe if load.name == name), None)


Measure = Callable[[ConditionLoad], "tuple[float, str]"]
"""Size of something, never below 0, and where on the part it is so large."""


@dataclass(frozen=True)
class Quantity:
    part: str
    what: str
    unit: str
    measure: Measure


@dataclass(frozen=True)
class Governing:
    """The load that decides one quantity of one part. ``limit`` is None if its condition gives ultimate loads only."""

    part: str
    what: str
    unit: str
    limit: float | None
    ultimate: float
    load: ConditionLoad
    where: str


def _signed(get: Callable[[ConditionLoad], float | None], sign: float) -> Measure:
    return lambda load: (max(sign * (get(load) or 0.0), 0.0), "")


def _pin(name: str, across: bool = False) -> Measure:
    """Radial force at a place of the airframe, or its thrust along BL."""

    def measure(load: ConditionLoad) -> tuple[float, str]:
        pin = load.at(name)
        if pin is None:
            return 0.0, ""
        return (abs(float(pin.force[1])) if across else math.hypot(pin.force[0], pin.force[2])), ""

    return measure


def _couple(load: ConditionLoad) -> tuple[float, str]:
    pin = load.at("trunnion")
    return (float(np.linalg.norm(pin.couple)) if pin else 0.0), ""


def _leg(pick: Callable[[LegLoads], NDArray[np.float64]]) -> Measure:
    def measure(load: ConditionLoad) -> tuple[float, str]:
        sizes = np.abs(pick(load.leg))
        i = int(np.argmax(sizes >= sizes.max() * (1.0 - 1e-12)))  # the topmost of equals, not the last by rounding
        station, place = load.leg.station[i], load.leg.place[i]
        return float(sizes[i]), f"{place} ({station:.0f} mm down the leg)".strip()

    return measure


def _tow(load: ConditionLoad) -> tuple[float, str]:
    return sum(float(np.linalg.norm(x.force)) for x in load.applied if x.name == "tow fitting"), ""


QUANTITIES = (
    Quantity("drag brace", "compression", "N", _signed(lambda x: x.brace, 1.0)),
    Quantity("drag brace", "tension", "N", _signed(lambda x: x.brace, -1.0)),
    Quantity("lock links", "compression", "N", _signed(lambda x: x.lock_link, 1.0)),
    Quantity("lock links", "tension", "N", _signed(lambda x: x.lock_link, -1.0)),
    Quantity("knee stop", "knee pressed on", "N", _signed(lambda x: x.stop, 1.0)),
    Quantity("knee stop", "knee pulled off", "N", _signed(lambda x: x.stop, -1.0)),
    Quantity("knee stop", "couple between the links", "N mm", lambda x: (abs(x.stop_couple), "")),
    Quantity("trunnion", "radial", "N", _pin("trunnion")),
    Quantity("trunnion", "side thrust", "N", _pin("trunnion", across=True)),
    Quantity("trunnion", "couple", "N mm", _couple),
    Quantity("trunnion left", "radial", "N", _pin("trunnion left")),
    Quantity("trunnion left", "side thrust", "N", _pin("trunnion left", across=True)),
    Quantity("trunnion right", "radial", "N", _pin("trunnion right")),
    Quantity("trunnion right", "side thrust", "N", _pin("trunnion right", across=True)),
    Quantity("upper pin", "radial", "N", _pin("upper pin")),
    Quantity("lock root", "radial", "N", _pin("lock root")),
    Quantity("leg", "fore-aft bending", "N mm", _leg(lambda leg: leg.bend_aft)),
    Quantity("leg", "side bending", "N mm", _leg(lambda leg: leg.bend_side)),
    Quantity("leg", "bending, resultant", "N mm", _leg(lambda leg: leg.bend)),
    Quantity("leg", "shear, resultant", "N", _leg(lambda leg: leg.shear)),
    Quantity("leg", "compression", "N", _leg(lambda leg: np.maximum(leg.axial, 0.0))),
    Quantity("leg", "torque", "N mm", _leg(lambda leg: leg.torque)),
    Quantity("steering", "torque about the leg", "N mm", lambda x: (abs(float(x.leg.torque[-1])), "")),
    Quantity("axle", "force, resultant", "N", lambda x: (float(np.linalg.norm(x.wheel)), "")),
    Quantity("actuator, lock lost", "push", "N", _signed(lambda x: x.push_if_lost, 1.0)),
    Quantity("actuator, lock lost", "pull", "N", _signed(lambda x: x.push_if_lost, -1.0)),
)
TOW = (Quantity("tow fitting", "force, resultant", "N", _tow),)
"""All that a tow condition governs: the fitting and its immediate structure."""


def governing(loads: Sequence[ConditionLoad]) -> tuple[Governing, ...]:
    """For each quantity that anything loads at all, the worst of the loads, compared at ultimate."""
    found: list[Governing] = []
    for tow, quantities in ((False, QUANTITIES), (True, TOW)):
        these = [load for load in loads if load.condition.tow == tow]
        found += [g for q in quantities for g in _worst(q, these)]
    return tuple(found)


def _worst(q: Quantity, loads: Sequence[ConditionLoad]) -> Iterator[Governing]:
    sizes = [(load.factor * q.measure(load)[0], load) for load in loads]
    ultimate, worst = max(sizes, key=lambda pair: pair[0], default=(0.0, None))
    if worst is not None and ultimate > ROUNDING:
        size, where = q.measure(worst)
        limit = size if worst.condition.level == "limit" else None
        yield Governing(q.part, q.what, q.unit, limit, ultimate, worst, where)


def worth_keeping(loads: Sequence[ConditionLoad]) -> list[ConditionLoad]:
    """Of one condition's loads those that are worst for something, in order; the first if none loads anything."""
    worst = {id(g.load) for q in (*QUANTITIES, *TOW) for g in _worst(q, loads)}
    return [load for load in loads if id(load) in worst] or list(loads[:1])
