"""Which gaps to follow: of the gear to bay items and to itself, as drawn and in every state of the study.

A state is followed by one result, the least margin of all pairs that it changes: a pair whose part and item are as
drawn comes no nearer in a state than in the nominal one, and is followed there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from linkage.clearance import apart
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.obstacles import Obstacle
from linkage.state_gaps.worst import required_in
from linkage.states import Case, cases
from linkage.states.cases import compressions
from linkage.states.engine import moved
from linkage.stroke import Stroke
from linkage.tolerance.followed import SELF_GAP, LeftOut, gap_name, state_name
from linkage.tolerance.moving import Moving, moving
from linkage.tolerance.places import Course, Pair, Watch, places


@dataclass(frozen=True)
class Watched:
    watches: tuple[Watch, ...]
    left_out: tuple[LeftOut, ...]


def watched(study: Study, gear: Gear, stroke: Stroke, items: Sequence[Obstacle], reach: float) -> Watched:
    """Every place where a margin is within ``reach`` mm of the least of its result."""
    course = Course(gear, stroke)
    found = _near([w for pair in _nominal(study, gear, stroke, items) for w in places(course, pair, reach)], reach)
    left_out: list[LeftOut] = []
    for case in cases(study, gear, stroke):
        pairs = list(_changed(study, gear, stroke, items, case))
        near = _near([w for pair in pairs for w in places(course, pair, reach)], reach)
        touching = next((w for w in near if _touches(w)), None)
        if not pairs:
            left_out.append(
                LeftOut(case.name, "it changes no gap: all are those of the nominal state, or of gears at rest")
            )
        elif touching is not None:
            one, other = names_of(touching.pair)
            why = f"{one} lies in {other} as drawn: how deep is not followed from gear to gear"
            left_out.append(LeftOut(case.name, why))
        else:
            found += near
    return Watched(tuple(found), tuple(left_out))


def names_of(pair: Pair) -> tuple[str, str]:
    """The part, and the item or the other part."""
    other = pair.other
    return pair.one.piece.name, other.name if isinstance(other, Obstacle) else other.piece.name


def _near(watches: Sequence[Watch], reach: float) -> list[Watch]:
    least: dict[str, float] = {}
    for w in watches:
        least[w.result] = min(least.get(w.result, np.inf), w.margin)
    return [w for w in watches if w.margin <= least[w.result] + reach]


def _touches(watch: Watch) -> bool:
    """The cores themselves, so that the depth counts, not only what they are grown by."""
    return watch.pair.lateral <= 0 and watch.gap <= -watch.pair.radius


def _nominal(study: Study, gear: Gear, stroke: Stroke, items: Sequence[Obstacle]) -> Iterator[Pair]:
    whole, last = (0, len(stroke.driven) - 1), len(stroke.driven) - 1
    parts = [moving(gear, i, piece) for i, part in enumerate(gear.parts) for piece in part.nested]
    for one in parts:
        for item in items:
            if one.piece.name not in item.ignore:
                poses = (last, last) if item.stowed_only else whole
                yield Pair(gap_name(item.name), one, item, item.required, poses)
    for one, two in combinations(parts, 2):
        if apart(study, one.piece.name, two.piece.name):
            yield Pair(SELF_GAP, one, two, study.gear.self_gap, whole)


def _changed(study: Study, gear: Gear, stroke: Stroke, items: Sequence[Obstacle], case: Case) -> Iterator[Pair]:
    """Pairs of a state of which the part, the item or the other part is not as drawn."""
    state, last = case.entry, len(stroke.driven) - 1
    span = {"moving": (0, last), "down": (0, 0), "up": (last, last)}[state.gear]
    entries = {item.name: item for item in study.bay.item}
    judged, no_play = state.judged != "no", state.play == "taken up"
    result = state_name(state.name)
    parts = _parts(study, gear, case)
    fresh = {id(m) for m in parts if m.piece not in gear.parts[m.part].nested}
    for item, cover in zip(items, moved(items, study.engine, state), strict=True):
        poses = (last, last) if item.stowed_only else span
        for one in parts:
            changed = id(one) in fresh or cover is not item
            if changed and one.piece.name not in item.ignore and not (item.stowed_only and state.gear == "down"):
                wanted = required_in(entries[item.name], state, one.piece)
                yield Pair(result, one, cover, wanted, poses, True, judged, no_play)
    wanted = 0.0 if state.judged == "contact" else study.gear.self_gap
    for one, two in combinations(parts, 2):
        if (id(one) in fresh or id(two) in fresh) and apart(study, one.piece.name, two.piece.name):
            yield Pair(result, one, two, wanted, span, True, judged, no_play)


def _parts(study: Study, gear: Gear, case: Case) -> list[Moving]:
    """Every part of the gear in a state."""
    which = {part.name: i for i, part in enumerate(gear.parts)}
    lifts, turned = compressions(study, case.entry), math.radians(case.entry.turned)
    loose = case.entry.play == "taken up"
    return [moving(gear, which[piece.name], piece, lifts, turned, loose) for piece in case.parts]
