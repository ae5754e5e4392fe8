"""Least gaps: to each bay item, and of the gear to itself, differentiated at their closest pair of points.

A least distance does not feel where along the edges its ends lie, nor where on the way the least is found; at an end of
the stroke the end itself moves. What is differentiated is the true gap, of which the findings hold a lower bound.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import Gap, in_space, lateral_gap
from linkage.gear import LEG, GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.roots import closed_in
from linkage.plane.duals import Dual, slope_of, value_of
from linkage.plane.outlines import shapes_of
from linkage.plane.vectors import dot
from linkage.results import Results
from linkage.sensitivity.model import Found, Rival
from linkage.sensitivity.seeded import Seeded, poses
from linkage.stroke import motion_at

TIED = 1e-9
"""mm. Two gaps that differ by less are the same."""
LEVEL = 1e-11
"""mm. A curve that rises by less from one pose to the next is level."""
CONTACT = "in contact: a depth is not differentiated"


@dataclass(frozen=True)
class Side:
    """One side of a pair, with slopes in its numbers: a part of the gear, or a fixed shape that is shifted."""

    radius: Any
    butt_lines: Any
    part: GearPart | None = None
    plain: GearPart | None = None
    shape: Any = None
    shift: Any = 0j


@dataclass(frozen=True)
class Pair:
    names: tuple[str, str]
    a: Side
    b: Side
    stowed: bool
    required: float


@dataclass(frozen=True)
class Least:
    """A least gap of a pair over the stroke: where it is, whether at an end of the stroke (0 or 1), and between which
    points."""

    pair: Pair
    gap: float
    driven: float
    end: float | None
    touch: Touch


def gaps(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    """One result for each bay item, and one for the gear against itself."""
    chosen: list[tuple[str, str, list[Least]]] = []
    for item in dict.fromkeys(g.item for g in r.clearance.bay):
        known = [g for g in r.clearance.bay if g.item == item]
        chosen.append((f"gap to {item}", f"least gap to {item}", _leasts(r, s, known, _to_item)))
    if r.clearance.own:
        chosen.append(("self gap", "least gap of the gear to itself", _leasts(r, s, r.clearance.own, _to_self)))
    places = [least for _, _, found in chosen for least in found]
    if not places:
        return
    at = poses(s, [p.driven for p in places], np.array([(p.end or 0.0) * pace for p in places]))
    swing = np.degrees(s.plain.leg_sense * at.motion.angle(LEG)[0]) + 0.0
    core = {id(p): p for x in places for side in (x.pair.a, x.pair.b) if side.part for p in side.part.core}
    spots = {key: at.point(p) for key, p in core.items()}
    k = 0
    for name, title, found in chosen:
        numbers = [_slopes(s, spots, k + n, least) for n, least in enumerate(found)]
        words = [f"{' to '.join(x.pair.names)} at {swing[k + n]:.1f} deg swing" for n, x in enumerate(found)]
        yield _found(name, title, s.inputs, found, numbers, words)
        k += len(found)


def _found(
    name: str, title: str, inputs: int, found: list[Least], numbers: list[list[Dual]], words: list[str]
) -> Found:
    """The first of the lows and all that tie with it, at other places or between other intervals; the rest are its
    rivals. In contact the first has no number."""
    least = found[0]
    if not numbers[0]:
        return Found(name, title, "mm", Dual(least.gap, np.zeros(inputs)), CONTACT, words[0])
    ties: list[Dual] = []
    rivals: list[Rival] = []
    for low, each, which in zip(found, numbers, words, strict=True):
        for number in each:
            beyond = low.pair.required - least.pair.required
            if float(value_of(number)) - beyond <= least.gap + TIED:
                ties.append(number)
            else:
                rivals.append(Rival(number - beyond, which))
    return Found(name, title, "mm", ties[0], _tie(found, len(ties)), words[0], tuple(ties[1:]), tuple(rivals))


def _leasts(r: Results, s: Seeded, known: Sequence[Gap], pairs: Any) -> list[Least]:
    """Least gaps of all pairs, that with the least margin first. Every ``Gap`` is a lower bound, least margin first: a
    pair that by it cannot be the least is a rival, whose place is that of the pose table."""
    found: list[Least] = []
    for names in dict.fromkeys((g.part, g.item) for g in known):
        bound = min(g.margin for g in known if (g.part, g.item) == names)
        best = min((f.gap - f.pair.required for f in found), default=math.inf)
        for pair in pairs(r, s, names):
            found += _along(r, s, pair, bound <= best + TIED)
    return sorted(found, key=lambda f: f.gap - f.pair.required)


def _parts(s: Seeded, name: str) -> Iterator[Side]:
    for part, plain in zip(s.gear.parts, s.plain.parts, strict=True):
        if part.name == name:
            for one, other in zip(part.nested, plain.nested, strict=True):
                yield Side(one.radius, one.butt_lines, one, other)


def _to_item(r: Results, s: Seeded, names: tuple[str, str]) -> Iterator[Pair]:
    entries = {e.name: (e, shift) for e, shift in zip(s.study.bay.item, s.shifts, strict=True)}
    entry, shift = entries[names[1]]
    for o in r.obstacles:
        if o.name == names[1]:
            radius = entry.radius if entry.radius is not None and entry.centre is not None else o.radius
            lines = entry.butt_lines if entry.file is None else o.butt_lines
            fixed = Side(radius, lines, shape=o.shape, shift=shift)
            for moving in _parts(s, names[0]):
                yield Pair(names, moving, fixed, o.stowed_only, o.required)


def _to_self(r: Results, s: Seeded, names: tuple[str, str]) -> Iterator[Pair]:
    for one in _parts(s, names[0]):
        for other in _parts(s, names[1]):
            yield Pair(names, one, other, False, r.study.gear.self_gap)


def _plain_lines(side: Side) -> list[tuple[float, float]]:
    return [(float(lo), float(hi)) for lo, hi in side.butt_lines]


def _cores(pair: Pair, motion: Motion) -> list[Complexes | None]:
    """Points of both cores (poses, points); None of a fixed shape."""
    return [
        None if x.plain is None else np.stack([motion.point(p.body, p.at)[0] for p in x.plain.core], axis=1)
        for x in (pair.a, pair.b)
    ]


def _shapes(pair: Pair, cores: Sequence[Complexes | None]) -> list[NDArray[Any]]:
    """Of both sides: at every pose, or the one that is fixed."""
    return [
        np.array([x.shape]) if x.plain is None or core is None else shapes_of(core, x.plain.closed)
        for x, core in zip((pair.a, pair.b), cores, strict=True)
    ]


def _along(r: Results, s: Seeded, pair: Pair, closely: bool) -> Iterator[Least]:
    """Least gaps of a pair over the stroke: every low of the curve over the poses, closed in or as those have it."""
    up = r.stroke.driven_up
    lateral = lateral_gap(_plain_lines(pair.a), _plain_lines(pair.b))
    radius = float(value_of(pair.a.radius)) + float(value_of(pair.b.radius))
    place, inside = (np.array([up]), np.array([False])) if pair.stowed else _lows(r, s, pair, radius, closely)
    touch = _touch(pair, motion_at(s.plain, place, 1))
    for k, driven in enumerate(place.tolist()):
        end = None if inside[k] else 0.0 if driven == 0.0 else 1.0 if driven == up else None
        yield Least(pair, float(in_space(lateral, touch.size[k] - radius)), driven, end, touch.at(k))


def _lows(r: Results, s: Seeded, pair: Pair, radius: float, closely: bool) -> tuple[Floats, NDArray[np.bool_]]:
    """Driven rotations of the lows, and whether the distance is level there; at an end of the stroke it need not be."""
    driven = r.stroke.driven
    side = shapely.distance(*_shapes(pair, _cores(pair, r.stroke.motion))) - radius
    padded = np.concatenate([[np.inf], side, [np.inf]])
    # of places in a row that are as near, as where a part does not move at all, the first stands for all
    rows = np.flatnonzero((side < padded[:-2] - LEVEL) & (side <= padded[2:] + LEVEL))
    if not closely:
        return driven[rows], (rows > 0) & (rows < len(driven) - 1)
    lo, hi = driven[np.maximum(rows - 1, 0)], driven[np.minimum(rows + 1, len(driven) - 1)]
    low, high = _rates(s, pair, lo), _rates(s, pair, hi)
    inside = (low < 0.0) & (high > 0.0)
    place = np.where(low >= 0.0, lo, hi)  # least at an end, or in touch, where no rate is defined
    if inside.any():
        place[inside] = closed_in(lambda q: _rates(s, pair, q), lo[inside], hi[inside], low[inside], high[inside])
    return place, inside


@dataclass(frozen=True)
class Touch:
    """Nearest points at every pose: ``apart`` (poses,) from b to a, and on which part of the core each lies: weights
    (poses, points) of its points, None on a fixed shape."""

    apart: Complexes
    on_a: Floats | None
    on_b: Floats | None

    @property
    def size(self) -> Floats:
        return np.abs(self.apart)

    def at(self, k: int) -> Touch:
        """At pose ``k`` alone, without the axis of poses."""
        a, b = (None if on is None else on[k] for on in (self.on_a, self.on_b))
        return Touch(self.apart[k], a, b)


def _touch(pair: Pair, motion: Motion) -> Touch:
    cores = _cores(pair, motion)
    xy = shapely.get_coordinates(shapely.shortest_line(*_shapes(pair, cores))).reshape(-1, 2, 2)
    ends = xy[..., 0] + 1j * xy[..., 1]
    on = [
        None if x.plain is None or core is None else _weights(core, x.plain.closed, end)
        for x, core, end in zip((pair.a, pair.b), cores, ends.T, strict=True)
    ]
    return Touch(ends[:, 0] - ends[:, 1], on[0], on[1])


def _weights(core: Complexes, closed: bool, end: Complexes) -> Floats:
    """How the nearest points (poses,) are mixed from the two points of the core (poses, points) beside them."""
    count, points = core.shape
    if points == 1:
        return np.ones((count, 1))
    start, stop = (core, np.roll(core, -1, axis=1)) if closed else (core[:, :-1], core[:, 1:])
    edge = stop - start
    part = np.clip(dot(end[:, None] - start, edge) / np.abs(edge) ** 2, 0.0, 1.0)
    rows, i = np.arange(count), np.argmin(np.abs(start + part * edge - end[:, None]), axis=1)
    out = np.zeros((count, points))
    out[rows, i], out[rows, (i + 1) % points] = 1.0 - part[rows, i], part[rows, i]
    return out


def _rates(s: Seeded, pair: Pair, driven: Floats) -> Floats:
    """Change of the distance per radian of driven rotation (n,); nought in touch."""
    motion = motion_at(s.plain, driven, 1)
    touch, speed = _touch(pair, motion), np.zeros(len(driven), complex)
    for side, weights, sign in ((pair.a, touch.on_a, 1.0), (pair.b, touch.on_b, -1.0)):
        if weights is not None and side.plain is not None:
            for p, w in zip(side.plain.core, weights.T, strict=True):
                if w.any():
                    speed += sign * w * motion.velocity(p.body, p.at)[0]
    size = touch.size
    return np.where(size > 0.0, dot(touch.apart, s.plain.drive_sense * speed) / np.where(size > 0.0, size, 1.0), 0.0)


def _slopes(s: Seeded, spots: Mapping[int, Dual], k: int, least: Least) -> list[Dual]:
    """The gap with its slopes, once for every two butt-line intervals, the nearest first; nothing in contact.
    ``spots``: place of every point of the cores, by its identity, at all places; ``k``: which of them."""
    pair, touch, none = least.pair, least.touch, np.zeros(s.inputs)
    size = float(touch.size)
    side = size - float(value_of(pair.a.radius)) - float(value_of(pair.b.radius))
    slope = none
    if side > 0.0 and size > 0.0:
        ends: list[Any] = []
        for one, weights in ((pair.a, touch.on_a), (pair.b, touch.on_b)):
            mixed = zip(one.part.core if one.part else (), () if weights is None else weights, strict=True)
            ends.append(sum((spots[id(p)][k] * w for p, w in mixed if w), one.shift))
        # of a fixed side only the slope of its shift is known, so the value is put in its place
        slope = slope_of(dot(ends[0] - ends[1], touch.apart / size) - pair.a.radius - pair.b.radius, s.inputs)
    across = _lateral(pair)
    if not across:
        return [Dual(side, slope)] if side > 0.0 else []
    if side <= 0.0:
        return [Dual(value_of(x), slope_of(x, s.inputs)) for x in across]
    return [np.hypot(x, Dual(side, slope)) for x in across]


def _lateral(pair: Pair) -> list[Any]:
    """Lateral gaps of all intervals, the nearest first; none where any overlap."""
    found = [max(lo2 - hi1, lo1 - hi2) for lo1, hi1 in pair.a.butt_lines for lo2, hi2 in pair.b.butt_lines]
    found.sort(key=lambda x: float(value_of(x)))
    return found if value_of(found[0]) > 0.0 else []


def _tie(found: Sequence[Least], numbers: int) -> str:
    """``numbers``: as many as are the least alike."""
    best = found[0].gap - found[0].pair.required
    apart = [f.gap - f.pair.required - best for f in found]
    tied = [x for x in apart if x <= TIED]
    if len(tied) == 1:
        return "" if numbers == 1 else "two sides tie: as near to the left as to the right"
    return f"two places tie within {tied[-1]:.2g} mm: {' to '.join(found[1].pair.names)} is as near"
