"""Guaranteed gaps in every state of the study, and how far the strut may be pressed before a required gap breaks.

A pair of part and item that a state leaves alone keeps its nominal gap. Of the others those are measured first that may
be worst; the rest is passed over once it is proved not to be: a gap in space shrinks by no more than its two sides move
or grow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from linkage.clearance import BRACKET, Clearance, Gap, apart, bay_gap, in_space, lateral_gap, own_gap
from linkage.document.bay import BayItem
from linkage.document.states import StateEntry
from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.obstacles import Obstacle
from linkage.plane.outlines import shapes_of
from linkage.states import NOMINAL, Case, Corner, at_corner, corners
from linkage.states.engine import farthest_move, moved
from linkage.states.parts import pressed, strayed
from linkage.stroke import Stroke
from linkage.tracks import Bends, Track, track

Span = tuple[float, float]

GLANCES = 17
"""Poses at which pairs are put in order."""

PRESSED_WITHIN = 0.05
"""mm of compression between one that is proved clear and one where it no longer is."""


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
class StrutLimit:
    """``clear_to``: up to this compression (mm) every required gap is proved to be kept, parts as drawn and engine at
    rest; ``gap``: the first that breaks at most `PRESSED_WITHIN` further, None if none does over the whole stroke."""

    clear_to: float
    stroke: float
    gap: Gap | None


@dataclass(frozen=True)
class StateReview:
    """``gaps``: worst pair of every state and item, in the study's order, the nominal state first; ``worst``: for each
    item the state with the least margin, least margin first."""

    gaps: tuple[StateGap, ...]
    worst: tuple[StateGap, ...]
    strut: StrutLimit | None

    def of(self, state: str) -> tuple[StateGap, ...]:
        return tuple(g for g in self.gaps if g.state == state)


@dataclass(frozen=True)
class _Desk:
    """What the states share: the nominal gaps, and tracks and gaps of parts met before."""

    study: Study
    gear: Gear
    stroke: Stroke
    items: tuple[Obstacle, ...]
    bay: dict[tuple[str, str], Gap]
    own: dict[frozenset[str], Gap]
    drawn: dict[str, tuple[GearPart, ...]]
    bends: Bends = field(default_factory=dict)
    tracks: dict[GearPart, Track] = field(default_factory=dict)
    measured: dict[tuple[GearPart, GearPart | int, Span], Gap] = field(default_factory=dict)

    def track(self, part: GearPart) -> Track:
        if part not in self.tracks:
            self.tracks[part] = track(self.gear, part, self.stroke.driven_up, self.bends)
        return self.tracks[part]

    def to_item(self, part: GearPart, item: Obstacle, span: Span) -> Gap:
        key = (part, id(item), span)
        if key not in self.measured:
            self.measured[key] = bay_gap(self.gear, self.stroke, self.track(part), item, span)
        return self.measured[key]

    def nominal(self, part: GearPart, item: Obstacle) -> Gap:
        """The nominal gap of a pair that a state leaves alone, measured closely now if it was not before."""
        known = self.bay[part.name, item.name]
        return known if close(known) else self.to_item(part, item, (0.0, self.stroke.driven_up))

    def to_part(self, one: GearPart, two: GearPart, span: Span) -> Gap:
        key = (one, two, span)
        if key not in self.measured:
            required = self.study.gear.self_gap
            self.measured[key] = own_gap(self.gear, self.track(one), self.track(two), span, required)
        return self.measured[key]

    def whole(self, span: Span) -> bool:
        return span == (0.0, self.stroke.driven_up)

    def unchanged(self, part: GearPart) -> bool:
        return part in self.drawn[part.name]


def close(gap: Gap) -> bool:
    """Whether a gap was measured to within the bracket, not only bounded from samples."""
    return gap.upper - gap.gap <= 2 * BRACKET


def state_review(
    study: Study, gear: Gear, stroke: Stroke, items: Sequence[Obstacle], cases: Sequence[Case], clear: Clearance
) -> StateReview:
    """The worst pair of every state and item. Parts of the gear are judged against each other too, as one more item."""
    desk = _Desk(
        study,
        gear,
        stroke,
        tuple(items),
        {(g.part, g.item): g for g in reversed(clear.bay)},
        {frozenset((g.part, g.item)): g for g in reversed(clear.own)},
        {p.name: p.nested for p in gear.parts},
    )
    gaps = [StateGap(NOMINAL, g) for g in clear.per_item()]
    gaps += [StateGap(NOMINAL, g, own=True) for g in clear.own[:1]]
    covers: dict[tuple[str, str], tuple[Obstacle, ...]] = {}
    for case in cases:
        key = (case.entry.engine, case.entry.mounts)
        if key not in covers:
            covers[key] = moved(items, study.engine, case.entry)
        gaps += _state(desk, case, covers[key])
    return StateReview(tuple(gaps), _worst(gaps), _strut_limit(desk) if study.state else None)


def _worst(gaps: Sequence[StateGap]) -> tuple[StateGap, ...]:
    found: dict[tuple[bool, str], StateGap] = {}
    for g in sorted((g for g in gaps if g.judged), key=lambda g: g.gap.margin):
        found.setdefault((g.own, "" if g.own else g.gap.item), g)
    return tuple(found.values())


def _state(desk: _Desk, case: Case, items: tuple[Obstacle, ...]) -> Iterator[StateGap]:
    judged = case.entry.judged != "no"
    entries = {item.name: item for item in desk.study.bay.item}
    slices: dict[str, list[Obstacle]] = {}
    for item in items:
        slices.setdefault(item.name, []).append(item)
    for name, obstacles in slices.items():
        worst = _worst_pair(desk, case, entries[name], obstacles)
        if worst is not None:
            yield StateGap(case.name, worst, _corner(desk, case, worst), judged)
    own = _worst_own(desk, case)
    if own is not None:
        yield StateGap(case.name, own, judged=judged, own=True)


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


def _worst_pair(desk: _Desk, case: Case, entry: BayItem, obstacles: Sequence[Obstacle]) -> Gap | None:
    """Least margin of any part to any slice of one item."""
    candidates = []
    for item in obstacles:
        if item.stowed_only and case.entry.gear == "down":
            continue
        for part in case.parts:
            if part.name not in item.ignore:
                wanted = required_in(entry, case.entry, part)
                candidates.append((_bay_bound(desk, case, part, item) - wanted, wanted, part, item))
    best: Gap | None = None
    for bound, wanted, part, item in sorted(candidates, key=lambda c: c[0]):
        if best is not None and bound >= best.margin:
            break
        same = desk.whole(case.span) and desk.unchanged(part) and any(item is o for o in desk.items)
        gap = desk.nominal(part, item) if same else desk.to_item(part, item, case.span)
        if best is None or gap.gap - wanted < best.margin:
            best = replace(gap, required=wanted)
    return best


def _bay_bound(desk: _Desk, case: Case, part: GearPart, item: Obstacle) -> float:
    """Proved lower bound of the gap of a pair from its nominal gap, or minus infinity."""
    nominal, motion = desk.bay.get((part.name, item.name)), desk.study.engine
    if nominal is None:
        return -math.inf
    move = farthest_move(item, motion, case.entry) if motion is not None and item.with_engine else 0.0
    left = nominal.gap - strayed(part, desk.drawn[part.name]) - move
    # once in contact the depth in the side view counts, and that is not bounded by the gap before
    return left if left > 0 else -math.inf


def _worst_own(desk: _Desk, case: Case) -> Gap | None:
    """Least margin between two parts of the gear, declared neighbours left out."""
    wanted = 0.0 if case.entry.judged == "contact" else desk.study.gear.self_gap
    candidates = []
    for i, one in enumerate(case.parts):
        for two in case.parts[i + 1 :]:
            nominal = desk.own.get(frozenset((one.name, two.name)))
            if nominal is not None and apart(desk.study, one.name, two.name):
                stray = strayed(one, desk.drawn[one.name]) + strayed(two, desk.drawn[two.name])
                left = nominal.gap - stray
                candidates.append((left if left > 0 else -math.inf, one, two, nominal))
    best: Gap | None = None
    for bound, one, two, nominal in sorted(candidates, key=lambda c: c[0]):
        if best is not None and bound >= best.gap:
            break
        same = desk.whole(case.span) and desk.unchanged(one) and desk.unchanged(two) and close(nominal)
        gap = nominal if same else desk.to_part(one, two, case.span)
        if best is None or gap.gap < best.gap:
            best = gap
    return replace(best, required=wanted) if best is not None else None


def _corner(desk: _Desk, case: Case, gap: Gap) -> str:
    """The corner of the engine's motion that is nearest to the part where the gap is least."""
    motion = desk.study.engine
    items = [o for o in desk.items if o.name == gap.item and o.with_engine]
    if motion is None or not items or (case.entry.engine == "at rest" and case.entry.mounts == "new"):
        return ""
    parts = [p for p in case.parts if p.name == gap.part]
    cores = [shapes_of(desk.track(p).at(np.array([gap.driven])), p.closed)[0] for p in parts]

    def distance(corner: Corner) -> float:
        shapes = [at_corner(o, motion, corner) for o in items]
        return float(min(shapely.distance(c, s) for c in cores for s in shapes))

    return str(min(corners(motion, case.entry), key=distance))


def _glance(desk: _Desk, part: GearPart, item: Obstacle) -> float:
    """Margin of a pair at a few poses with the strut bottomed: an order to look at pairs, no more."""
    bottomed = pressed(part, desk.gear, desk.study.strut.stroke, desk.study.strut.stroke)[0]
    core = desk.track(bottomed).at(np.linspace(0.0, desk.stroke.driven_up, GLANCES))
    side = shapely.distance(shapes_of(core, part.closed), item.shape) - part.radius - item.radius
    return float(in_space(lateral_gap(part.butt_lines, item.butt_lines), side).min()) - item.required


def _strut_limit(desk: _Desk) -> StrutLimit | None:
    """How far the strut may be pressed: the part at every compression up to some is one body, so its gap is proved for
    all of them, and the greatest such compression is closed in by halving."""
    stroke = desk.study.strut.stroke
    pairs = [
        (part, item)
        for drawn in desk.gear.parts
        if drawn.on_piston
        for part in drawn.nested
        for item in desk.items
        if part.name not in item.ignore
    ]
    if not pairs or stroke == 0:
        return None
    whole, clear, broken = (0.0, desk.stroke.driven_up), stroke, stroke
    found: Gap | None = None

    def worst(part: GearPart, item: Obstacle, compression: float) -> Gap:
        bodies = pressed(part, desk.gear, 0.0, compression)
        return min((desk.to_item(b, item, whole) for b in bodies), key=lambda g: g.gap)

    first = min((desk.bay[p.name, o.name] for p, o in pairs), key=lambda g: g.margin)
    if first.margin < 0:
        return StrutLimit(0.0, stroke, first)
    # a pair that breaks early comes first: the others then need to be looked at over a short way only
    for part, item in sorted(pairs, key=lambda pair: _glance(desk, *pair)):
        if desk.bay[part.name, item.name].margin >= broken:
            continue
        gap = worst(part, item, broken)
        if gap.margin >= 0:
            continue
        clear, found = 0.0, gap
        while broken - clear > PRESSED_WITHIN:
            middle = 0.5 * (clear + broken)
            gap = worst(part, item, middle)
            clear, broken, found = (middle, broken, found) if gap.margin >= 0 else (clear, middle, gap)
    return StrutLimit(clear, stroke, found)
