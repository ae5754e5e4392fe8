"""The worst pair of a state: of the gear and an item, or of the gear with itself.

A pair of part and item that a state leaves alone keeps its nominal gap. Of the others those are measured first that may
be worst; the rest is passed over once it is proved not to be: a gap in space shrinks by no more than its two sides move
or grow. A measured gap may be a bracket less than the truth, so that much is granted before a pair is passed over: what
is found is the least of all that could have been measured, whichever were.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import shapely

from linkage.clearance import BRACKET, Gap, apart, in_space, lateral_gap
from linkage.document.bay import BayItem
from linkage.document.states import StateEntry
from linkage.gear import GearPart
from linkage.obstacles import Obstacle
from linkage.state_gaps.desk import Desk, close
from linkage.states import Case
from linkage.states.engine import at_rest, farthest_move
from linkage.states.parts import strayed

Candidate = tuple[float, Callable[[], Gap]]
"""Proved lower bound of a margin, and what measures it."""


def required_in(item: BayItem, state: StateEntry, part: GearPart) -> float:
    """Gap that an item asks of a part in a state, mm: without what the state really does, see docs/decisions.md."""
    wanted = item.required
    if state.judged == "contact":
        return 0.0
    engine = item.moves_with == "engine" and (state.engine == "moving" or state.mounts == "aged")
    if wanted.total is not None:
        return 0.0 if engine else wanted.total
    grown = part.tyre and state.tyre in ("grown", "flat")
    return wanted.gap - (wanted.engine_motion if engine else 0.0) - (wanted.growth if grown else 0.0)


def least(candidates: Sequence[Candidate], below: float) -> Gap | None:
    """The least margin of all candidates if it is ``below``; of equals the first. What is passed over is no less."""
    best, first = None, 0
    for i in sorted(range(len(candidates)), key=lambda i: candidates[i][0]):
        bound, measure = candidates[i]
        if bound - BRACKET > (below if best is None else min(below, best.margin)):
            break
        gap = measure()
        if best is None or (gap.margin, i) < (best.margin, first):
            best, first = gap, i
    return best if best is not None and best.margin < below else None


def worst_pair(desk: Desk, case: Case, entry: BayItem, obstacles: Sequence[Obstacle], below: float) -> Gap | None:
    """Least margin of any part to any slice of one item."""

    def measured(part: GearPart, item: Obstacle, wanted: float) -> Gap:
        cover = desk.cover(item, case.entry)
        same = desk.whole(case.span) and desk.unchanged(part) and cover is item
        gap = desk.nominal(part, item) if same else desk.to_item(part, cover, case.span)
        return replace(gap, required=wanted)

    candidates: list[Candidate] = []
    for item in obstacles:
        if item.stowed_only and case.entry.gear == "down":
            continue
        for part in case.parts:
            if part.name not in item.ignore:
                wanted = required_in(entry, case.entry, part)
                candidates.append((_bay_bound(desk, case, part, item) - wanted, partial(measured, part, item, wanted)))
    return least(candidates, below)


def _bay_bound(desk: Desk, case: Case, part: GearPart, item: Obstacle) -> float:
    """Proved lower bound of the gap of a pair: its very distance with the gear at rest, else from its nominal gap; or
    minus infinity."""
    nominal, motion = desk.bay.get((part.name, item.name)), desk.study.engine
    if _stands(case) and (at_rest(case.entry) or not item.with_engine):
        lateral = lateral_gap(part.butt_lines, item.butt_lines)
        return _apart(desk.shape(part, case.span[0]), item.shape, part.radius + item.radius, lateral)
    if nominal is None:
        return -math.inf
    move = 0.0
    if motion is not None and item.with_engine and not at_rest(case.entry):
        # a cover fills the holes of its item, in which a part may be
        move = math.inf if _has_holes(item) else farthest_move(item, motion, case.entry)
    left = nominal.gap - strayed(part, desk.drawn[part.name]) - move
    # once in contact the depth in the side view counts, and that is not bounded by the gap before
    return left if left > 0 else -math.inf


def _stands(case: Case) -> bool:
    return case.span[0] == case.span[1]


def _apart(one: Any, two: Any, radius: float, lateral: float) -> float:
    """Gap in space of two shapes at rest, minus infinity if they touch: the depth then counts."""
    side = float(shapely.distance(one, two)) - radius
    return float(in_space(lateral, side)) if side > 0 or lateral > 0 else -math.inf


def _has_holes(item: Obstacle) -> bool:
    return bool(np.any(shapely.get_num_interior_rings(shapely.get_parts(item.shape)) > 0))


def worst_own(desk: Desk, case: Case, below: float) -> Gap | None:
    """Least margin between two parts of the gear, declared neighbours left out."""
    wanted = 0.0 if case.entry.judged == "contact" else desk.study.gear.self_gap

    def measured(one: GearPart, two: GearPart, nominal: Gap) -> Gap:
        same = desk.whole(case.span) and desk.unchanged(one) and desk.unchanged(two) and close(nominal)
        return replace(nominal if same else desk.to_part(one, two, case.span), required=wanted)

    candidates: list[Candidate] = []
    for i, one in enumerate(case.parts):
        for two in case.parts[i + 1 :]:
            nominal = desk.own.get(frozenset((one.name, two.name)))
            if nominal is not None and apart(desk.study, one.name, two.name):
                if _stands(case):
                    here, there = desk.shape(one, case.span[0]), desk.shape(two, case.span[0])
                    lateral = lateral_gap(one.butt_lines, two.butt_lines)
                    left = _apart(here, there, one.radius + two.radius, lateral)
                else:
                    left = nominal.gap - strayed(one, desk.drawn[one.name]) - strayed(two, desk.drawn[two.name])
                bound = left - wanted if left > 0 else -math.inf
                candidates.append((bound, partial(measured, one, two, nominal)))
    return least(candidates, below)
