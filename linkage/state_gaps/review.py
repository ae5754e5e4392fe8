"""The worst pair of every state and item."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely

from linkage.clearance import Clearance, Gap
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.obstacles import Obstacle
from linkage.state_gaps.desk import Desk
from linkage.state_gaps.strut import StrutLimit, strut_limit
from linkage.state_gaps.worst import worst_own, worst_pair
from linkage.states import NOMINAL, Case, Corner, at_corner, corners
from linkage.states.engine import at_rest
from linkage.stroke import Stroke
from linkage.tracks import Bends


@dataclass(frozen=True)
class StateGap:
    """``gap``: the worst of a state and an item, its ``required`` as judged in that state; ``corner``: in words, the
    corner of the engine's motion nearest to the part there, "" for items that do not move; ``judged``: whether it
    counts; ``own``: the item is a part of the gear."""

    state: str
    gap: Gap
    corner: str = ""
    judged: bool = True
    own: bool = False


@dataclass(frozen=True)
class StateReview:
    """``gaps``: worst pair of every state and item, in the study's order, the nominal state first; ``worst``: for each
    item the state with the least margin, least margin first. Reviewed not closely, ``gaps`` has of the further states
    only those that were worse than all before, and ``strut`` is None; ``worst`` is the same."""

    gaps: tuple[StateGap, ...]
    worst: tuple[StateGap, ...]
    strut: StrutLimit | None

    def of(self, state: str) -> tuple[StateGap, ...]:
        return tuple(g for g in self.gaps if g.state == state)


def state_review(
    study: Study,
    gear: Gear,
    stroke: Stroke,
    items: Sequence[Obstacle],
    cases: Sequence[Case],
    clear: Clearance,
    closely: bool = True,
    bends: Bends | None = None,
) -> StateReview:
    """The worst pair of every state and item. Parts of the gear are judged against each other too, as one more item.

    ``closely``: every state; without it only what may be the worst of an item in any judged state, all that findings
    need.
    """
    desk = Desk(
        study,
        gear,
        stroke,
        tuple(items),
        {(g.part, g.item): g for g in reversed(clear.bay)},
        {frozenset((g.part, g.item)): g for g in reversed(clear.own)},
        {p.name: p.nested for p in gear.parts},
        {} if bends is None else bends,
    )
    gaps = [StateGap(NOMINAL, g) for g in clear.per_item()]
    gaps += [StateGap(NOMINAL, g, own=True) for g in clear.own[:1]]
    least = {_judged_as(g): g.gap.margin for g in gaps}
    for case in cases:
        if closely:
            gaps += _state(desk, case, {})
        elif case.entry.judged != "no":
            worse = list(_state(desk, case, least))
            gaps += worse
            least |= {_judged_as(g): g.gap.margin for g in worse}
    return StateReview(tuple(gaps), _worst(gaps), strut_limit(desk) if closely and study.state else None)


def _judged_as(g: StateGap) -> tuple[bool, str]:
    """What a gap counts for: an item, or the gear itself."""
    return g.own, "" if g.own else g.gap.item


def _worst(gaps: Sequence[StateGap]) -> tuple[StateGap, ...]:
    found: dict[tuple[bool, str], StateGap] = {}
    for g in sorted((g for g in gaps if g.judged), key=lambda g: g.gap.margin):
        found.setdefault(_judged_as(g), g)
    return tuple(found.values())


def _state(desk: Desk, case: Case, below: Mapping[tuple[bool, str], float]) -> Iterator[StateGap]:
    """The worst of every item in a state, where its margin is ``below`` what is given for the item."""
    judged = case.entry.judged != "no"
    entries = {item.name: item for item in desk.study.bay.item}
    slices: dict[str, list[Obstacle]] = {}
    for item in desk.items:
        slices.setdefault(item.name, []).append(item)
    for name, obstacles in slices.items():
        worst = worst_pair(desk, case, entries[name], obstacles, below.get((False, name), math.inf))
        if worst is not None:
            yield StateGap(case.name, worst, _corner(desk, case, worst), judged)
    own = worst_own(desk, case, below.get((True, ""), math.inf))
    if own is not None:
        yield StateGap(case.name, own, judged=judged, own=True)


def _corner(desk: Desk, case: Case, gap: Gap) -> str:
    """The corner of the engine's motion that is nearest to the part where the gap is least."""
    motion = desk.study.engine
    items = [o for o in desk.items if o.name == gap.item and o.with_engine]
    if motion is None or not items or at_rest(case.entry):
        return ""
    cores = [desk.shape(p, gap.driven) for p in case.parts if p.name == gap.part]

    def distance(corner: Corner) -> float:
        shapes = [at_corner(o, motion, corner) for o in items]
        return float(min(shapely.distance(c, s) for c in cores for s in shapes))

    return str(min(corners(motion, case.entry), key=distance))
