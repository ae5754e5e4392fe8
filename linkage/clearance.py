"""Guaranteed least gap of each part to each bay item, and of the gear to itself, over the whole stroke.

Parts and items are prisms across butt lines, so the gap in space is the hypotenuse of the gap between their butt-line
intervals and their distance in the side view. Lower bounds hold between samples too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.obstacles import Obstacle
from linkage.plane.gaps import gap_curve, least_gap, least_gap_between, nearest_pair
from linkage.plane.outlines import shapes_of
from linkage.plane.ruled import Indices
from linkage.stroke import Stroke, swing_at
from linkage.tracks import Bends, Track, track

BRACKET = 0.05
"""mm between the proved lower bound of a gap and a value that is really reached."""


ONSET_MARKS, ONSET_ROUNDS = 33, 6
"""How the place where two prisms begin to overlap is closed in: to 1e-9 of a step of the poses."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Gap:
    """Least gap between a part and an item. mm; ``gap`` is the proved lower bound, ``upper`` is really reached.

    ``gap`` below 0 is a depth of contact. ``swing`` in rad is the first pose at which the least gap is reached;
    ``ends`` are the two nearest points in the side view there.
    """

    part: str
    item: str
    lateral: float
    gap: float
    upper: float
    required: float
    driven: float
    swing: float
    ends: tuple[complex, complex]

    @property
    def margin(self) -> float:
        return self.gap - self.required


@dataclass(frozen=True)
class Clearance:
    """``bay`` and ``own``: every pair, least margin first. ``curve``: least margin over all bay pairs at each pose, and
    ``tightest``: which part and item it is there."""

    bay: tuple[Gap, ...]
    own: tuple[Gap, ...]
    curve: Floats
    tightest: tuple[tuple[str, str], ...]

    @property
    def worst(self) -> Gap | None:
        return self.bay[0] if self.bay else None

    def per_item(self) -> tuple[Gap, ...]:
        """The worst pair of each item, least margin first."""
        return tuple({g.item: g for g in reversed(self.bay)}[n] for n in dict.fromkeys(g.item for g in self.bay))


def lateral_gap(a: Sequence[tuple[float, float]], b: Sequence[tuple[float, float]]) -> float:
    """Least distance between two sets of butt-line intervals; 0 where they overlap."""
    return max(0.0, min(max(lo2 - hi1, lo1 - hi2) for lo1, hi1 in a for lo2, hi2 in b))


def in_space(lateral: Any, side: Any) -> Any:
    """Gap in space from lateral gap and side-view gap; a negative side-view gap is contact only without lateral gap."""
    apart = np.hypot(lateral, np.maximum(side, 0.0))
    return np.where((lateral <= 0) & (np.asarray(side) < 0), side, apart)


def clearance(
    study: Study,
    gear: Gear,
    stroke: Stroke,
    items: Sequence[Obstacle],
    closely: bool = True,
    bends: Bends | None = None,
) -> Clearance:
    """Every part against every bay item and against the other parts, in the nominal state: parts as drawn, engine at
    rest, strut extended. A part of several slices has a pair for each.

    ``closely``: every gap to within the bracket. Without it only pairs that may be the worst of their item are; the
    others keep the lower bound that the samples prove, which is safe but some millimetres loose. ``bends``: see
    `linkage.tracks.Bends`.
    """
    bends = {} if bends is None else bends
    tracks = [track(gear, slice_, stroke.driven_up, bends) for p in gear.parts for slice_ in p.nested]
    pairs = [(t, o) for t in tracks for o in items if t.part.name not in o.ignore]
    curves = {t.part.name: t.at(stroke.driven) for t in tracks}
    loose = {} if closely else {id(t): _between(t, stroke.driven) for t in tracks}
    own = _own(study, gear, stroke, tracks, loose)
    if not pairs:
        return Clearance((), own, np.full(len(stroke.driven), np.nan), ())
    margins = np.array([_curve(t.part, o, curves[t.part.name]) - o.required for t, o in pairs])
    if closely:
        bay = [bay_gap(gear, stroke, t, o) for t, o in pairs]
    else:
        bay = _worst_closely(gear, stroke, pairs, margins, loose)
    tightest = tuple((pairs[i][0].part.name, pairs[i][1].name) for i in margins.argmin(axis=0))
    return Clearance(tuple(sorted(bay, key=lambda g: g.margin)), own, margins.min(axis=0), tightest)


def _worst_closely(
    gear: Gear,
    stroke: Stroke,
    pairs: Sequence[tuple[Track, Obstacle]],
    margins: Floats,
    loose: Mapping[int, float],
) -> list[Gap]:
    """Pairs that may be the worst of their item measured closely, to a bracket below the truth, the others as the
    samples bound them."""
    glances = [_glance(stroke, t, o, row, loose[id(t)]) for (t, o), row in zip(pairs, margins, strict=True)]
    best: dict[str, float] = {}
    for g in glances:
        best[g.item] = min(best.get(g.item, math.inf), g.upper - g.required)
    return [
        bay_gap(gear, stroke, t, o) if g.margin - BRACKET <= best[g.item] or g.gap <= 0 else g
        for (t, o), g in zip(pairs, glances, strict=True)
    ]


def _curve(part: GearPart, item: Obstacle, core: Complexes) -> Floats:
    lateral, radius = lateral_gap(part.butt_lines, item.butt_lines), part.radius + item.radius
    if lateral > 0:  # beside one another it does not count how far they overlap in the side view
        side = shapely.distance(shapes_of(core, part.closed), item.shape) - radius
    else:
        side = gap_curve(core, part.closed, radius, item.shape)
    gaps = np.asarray(in_space(lateral, side))
    return np.where(np.arange(len(gaps)) == len(gaps) - 1, gaps, np.inf) if item.stowed_only else gaps


def _between(path: Track, driven: Floats) -> float:
    """How far any point of a part may be from where it is at the nearer of two neighbouring samples, proved, mm."""
    core = path.at(driven)
    hops = np.abs(np.diff(core, axis=0)).max(axis=1)
    return float(np.max(0.5 * hops + path.slack(driven[:-1], driven[1:])))


def _glance(stroke: Stroke, path: Track, item: Obstacle, margins: Floats, loose: float) -> Gap:
    """What the samples alone prove of a pair: a gap changes by no more than the part moves."""
    i = int(margins.argmin())
    reached = float(margins[i]) + item.required
    lateral = lateral_gap(path.part.butt_lines, item.butt_lines)
    lower = reached if item.stowed_only else max(reached - loose, lateral)
    middle = complex(np.mean(path.at(stroke.driven[i : i + 1])))
    swing = float(stroke.swing[i])
    return Gap(
        path.part.name,
        item.name,
        lateral,
        lower,
        reached,
        item.required,
        float(stroke.driven[i]),
        swing,
        (middle, middle),
    )


def bay_gap(gear: Gear, stroke: Stroke, path: Track, item: Obstacle, span: tuple[float, float] | None = None) -> Gap:
    """Least gap of a part to an item over the stroke, or over a ``span`` of it (driven rotations, rad). An item that
    counts only gear up is judged there."""
    part, up = path.part, stroke.driven_up
    lo, hi = (up, up) if item.stowed_only else span or (0.0, up)
    lateral, radius = lateral_gap(part.butt_lines, item.butt_lines), part.radius + item.radius

    def side_gap(driven: Floats) -> Floats:
        return gap_curve(path.at(driven), part.closed, radius, item.shape)

    def overlap(driven: Floats) -> Flags:
        return np.asarray(shapely.distance(shapes_of(path.at(driven), part.closed), item.shape) <= radius)

    if lo == hi:
        lower = upper = float(side_gap(np.array([lo]))[0])
        place = lo
    elif lateral > 0 and len(over := np.flatnonzero(overlap(grid := _within(stroke.driven, lo, hi)))):
        # beside one another: from where they overlap in the side view the lateral gap alone remains, whatever the depth
        lower = upper = 0.0
        place = _onset(overlap, grid, over)
    else:
        found = least_gap(path.at, path.slack, part.closed, radius, item.shape, lo, hi, BRACKET)
        lower, upper, place = found.lower, found.upper, found.at
    ends = nearest_pair(path.at(np.array([place]))[0], part.closed, radius, item.shape)
    return _gap(gear, part.name, item.name, lateral, (lower, upper), item.required, place, ends)


def _within(grid: Floats, lo: float, hi: float) -> Floats:
    """The poses of a grid within a span, and its ends."""
    return np.array(sorted({lo, hi, *grid[(grid > lo) & (grid < hi)].tolist()}))


def _onset(overlap: Callable[[Floats], Flags], grid: Floats, inside: Indices) -> float:
    """First driven rotation on the grid's scale at which two prisms overlap in the side view, closed in."""
    if inside[0] == 0:
        return float(grid[0])
    lo, hi = float(grid[inside[0] - 1]), float(grid[inside[0]])
    for _ in range(ONSET_ROUNDS):
        marks = np.linspace(lo, hi, ONSET_MARKS)
        first = int(np.argmax(overlap(marks)[1:])) + 1
        lo, hi = float(marks[first - 1]), float(marks[first])
    return hi


def _gap(
    gear: Gear,
    part: str,
    item: str,
    lateral: float,
    side: tuple[float, float],
    required: float,
    driven: float,
    ends: tuple[complex, complex],
) -> Gap:
    lower, upper = (float(in_space(lateral, s)) for s in side)
    swing = float(swing_at(gear, np.array([driven]))[0])
    return Gap(part, item, lateral, lower, upper, required, driven, swing, ends)


def _own(
    study: Study, gear: Gear, stroke: Stroke, tracks: Sequence[Track], loose: Mapping[int, float]
) -> tuple[Gap, ...]:
    """Parts of the gear against each other, declared neighbours left out. With ``loose`` (`_between`, by track) only
    pairs that may be the worst are measured closely."""
    span, wanted = (0.0, stroke.driven_up), study.gear.self_gap
    pairs = [(a, b) for i, a in enumerate(tracks) for b in tracks[i + 1 :] if apart(study, a.part.name, b.part.name)]
    if not loose:
        return tuple(sorted((own_gap(gear, a, b, span, wanted) for a, b in pairs), key=lambda g: g.margin))
    glances = [_own_glance(stroke, a, b, wanted, loose[id(a)] + loose[id(b)]) for a, b in pairs]
    best = min((g.upper for g in glances), default=math.inf)
    chosen = (
        own_gap(gear, a, b, span, wanted) if g.gap - BRACKET <= max(best, 0.0) else g
        for (a, b), g in zip(pairs, glances, strict=True)
    )
    return tuple(sorted(chosen, key=lambda g: g.margin))


def _own_glance(stroke: Stroke, a: Track, b: Track, required: float, loose: float) -> Gap:
    """What the samples alone prove of two parts."""
    one, two = (shapes_of(t.at(stroke.driven), t.part.closed) for t in (a, b))
    lateral = lateral_gap(a.part.butt_lines, b.part.butt_lines)
    side = shapely.distance(one, two) - a.part.radius - b.part.radius
    gaps = np.hypot(lateral, np.maximum(side, 0.0))
    i = int(gaps.argmin())
    reached, place = float(gaps[i]), stroke.driven[i : i + 1]
    ends = (complex(np.mean(a.at(place))), complex(np.mean(b.at(place))))
    lower = max(reached - loose, lateral)
    return Gap(
        a.part.name, b.part.name, lateral, lower, reached, required, float(place[0]), float(stroke.swing[i]), ends
    )


def apart(study: Study, one: str, two: str) -> bool:
    """Whether two parts are to keep a gap: not the same, and not declared neighbours."""
    return one != two and frozenset((one, two)) not in {frozenset(pair) for pair in study.gear.neighbours}


def own_gap(gear: Gear, a: Track, b: Track, span: tuple[float, float], required: float) -> Gap:
    """Least gap between two parts of the gear over a span of driven rotations, rad."""
    one, two = a.part, b.part
    found = least_gap_between(
        a.at, b.at, a.slack, b.slack, one.closed, two.closed, one.radius, two.radius, *span, BRACKET
    )
    place = np.array([found.at])
    ends = (complex(np.mean(a.at(place))), complex(np.mean(b.at(place))))
    lateral, side = lateral_gap(one.butt_lines, two.butt_lines), (found.lower, found.upper)
    return _gap(gear, one.name, two.name, lateral, side, required, found.at, ends)
