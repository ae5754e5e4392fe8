"""Least gaps: to each bay item, and of the gear to itself, differentiated at their closest pair of points.

A least distance does not feel where along the edges its ends lie, nor where on the way the least is found; at an end of
the stroke the end itself moves. What is differentiated is the true gap, of which the findings hold a lower bound.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import Gap, in_space, lateral_gap
from linkage.gear import LEG, GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import trace
from linkage.plane.duals import Dual, slope_of, value_of
from linkage.plane.outlines import shapes_of
from linkage.plane.vectors import dot
from linkage.results import Results
from linkage.sensitivity.model import Found
from linkage.sensitivity.seeded import Poses, Seeded, poses
from linkage.stroke import motion_at

TIED = 1e-9
"""mm. Two gaps that differ by less are the same."""
LEVEL = 1e-11
"""mm. A curve that rises by less from one pose to the next is level."""
ROUNDS = 60
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
    """A least gap of a pair over the stroke: where it is, and whether at an end of the stroke (0 or 1)."""

    pair: Pair
    gap: float
    driven: float
    end: float | None


def gaps(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    """One result for each bay item, and one for the gear against itself."""
    chosen: list[tuple[str, str, list[Least]]] = []
    for item in dict.fromkeys(g.item for g in r.clearance.bay):
        known = [g for g in r.clearance.bay if g.item == item]
        chosen.append((f"gap to {item}", f"least gap to {item}", _least(r, s, known, _to_item)))
    if r.clearance.own:
        chosen.append(("self gap", "least gap of the gear to itself", _least(r, s, list(r.clearance.own), _to_self)))
    places = [least for _, _, found in chosen for least in found]
    if not places:
        return
    at = poses(s, [p.driven for p in places], np.array([(p.end or 0.0) * pace for p in places]))
    k = 0
    for name, title, found in chosen:
        numbers: list[Dual] = []
        for n, least in enumerate(found):
            numbers += _slopes(s, at, k + n, least)
        swing = math.degrees(float(s.plain.leg_sense * at.motion.angle(LEG)[0, k]))
        note = f"{' to '.join(found[0].pair.names)} at {swing + 0.0:.1f} deg swing"
        number = numbers[0] if numbers else Dual(found[0].gap, np.zeros(s.inputs))
        yield Found(name, title, "mm", number, _tie(found, numbers), note, tuple(numbers[1:]))
        k += len(found)


def _least(r: Results, s: Seeded, known: Sequence[Gap], pairs: Any) -> list[Least]:
    """The least gap of all pairs, and those that tie with it. Every ``Gap`` is a lower bound, least margin first."""
    found: list[Least] = []
    for names in dict.fromkeys((g.part, g.item) for g in known):
        bound = min(g.margin for g in known if (g.part, g.item) == names)
        best = min((f.gap - f.pair.required for f in found), default=math.inf)
        if bound <= best + TIED:
            for pair in pairs(r, s, names):
                found += _along(r, s, pair)
    found.sort(key=lambda f: f.gap - f.pair.required)
    best = found[0].gap - found[0].pair.required
    return [f for f in found if f.gap - f.pair.required <= best + TIED]


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


def _core(s: Seeded, side: Side, driven: Floats) -> Complexes:
    if side.plain is None:
        raise ValueError("a fixed shape has no core")
    points = [(p.body, p.at) for p in side.plain.core]
    return trace(s.plain.plan, s.plain.drive_sense * driven, points)[:, 0, :].T


def _shapes(s: Seeded, side: Side, driven: Floats) -> NDArray[Any]:
    if side.plain is None:
        return np.full(len(driven), side.shape)
    return shapes_of(_core(s, side, driven), side.plain.closed)


def _along(r: Results, s: Seeded, pair: Pair) -> Iterator[Least]:
    """Least gaps of a pair over the stroke: every low of the curve over the poses that may be the least, closed in."""
    up = r.stroke.driven_up
    lateral = lateral_gap(_plain_lines(pair.a), _plain_lines(pair.b))
    radius = float(value_of(pair.a.radius)) + float(value_of(pair.b.radius))
    driven = np.array([up]) if pair.stowed else r.stroke.driven
    side = shapely.distance(_shapes(s, pair.a, driven), _shapes(s, pair.b, driven)) - radius
    if pair.stowed:
        yield Least(pair, float(in_space(lateral, side[0])), up, 1.0)
        return
    padded = np.concatenate([[np.inf], side, [np.inf]])
    # of places in a row that are as near, as where a part does not move at all, the first stands for all
    lows = np.flatnonzero((side < padded[:-2] - LEVEL) & (side <= padded[2:] + LEVEL))
    reach = float(np.abs(np.diff(side)).max(initial=0.0))
    last = len(driven) - 1
    for i in lows[side[lows] <= side.min() + reach]:
        lo, hi = driven[max(int(i) - 1, 0)], driven[min(int(i) + 1, last)]
        place, end = _closed_in(s, pair, float(lo), float(hi), up)
        apart = shapely.distance(*(_shapes(s, x, np.array([place]))[0] for x in (pair.a, pair.b))) - radius
        yield Least(pair, float(in_space(lateral, apart)), place, end)


def _closed_in(s: Seeded, pair: Pair, lo: float, hi: float, up: float) -> tuple[float, float | None]:
    """Where the rate of the distance changes sign between two poses, by false position; or the end of the stroke."""
    low, high = _rate(s, pair, lo), _rate(s, pair, hi)
    if not (low < 0.0 < high):  # least at an end, or in touch, where no rate is defined
        at_start = low >= 0.0
        place = lo if at_start else hi
        return place, 0.0 if place == 0.0 else 1.0 if place == up else None
    place = 0.5 * (lo + hi)
    for _ in range(ROUNDS):
        place = (lo * high - hi * low) / (high - low)
        rate = _rate(s, pair, place)
        if rate == 0.0 or hi - lo <= 4e-16 * up or abs(rate) <= 1e-12 * _size(s):
            break
        if rate < 0.0:
            lo, low, high = place, rate, 0.5 * high
        else:
            hi, high, low = place, rate, 0.5 * low
    return place, None


def _size(s: Seeded) -> float:
    """mm per rad of driven rotation at which the gear's points move, in size."""
    return abs(s.plain.pins["axle"].at - s.plain.pins["trunnion"].at)


@dataclass(frozen=True)
class Touch:
    """Nearest points: unit vector from b to a, and on which part of the core each lies (weights of its points)."""

    apart: complex
    on_a: Floats | None
    on_b: Floats | None


def _touch(s: Seeded, pair: Pair, driven: float) -> Touch:
    where = np.array([driven])
    shapes = [_shapes(s, side, where)[0] for side in (pair.a, pair.b)]
    (x0, y0), (x1, y1) = shapely.get_coordinates(shapely.shortest_line(*shapes))
    ends = complex(x0, y0), complex(x1, y1)
    on = [
        None if side.plain is None else _weights(_core(s, side, where)[0], side.plain.closed, end)
        for side, end in zip((pair.a, pair.b), ends, strict=True)
    ]
    return Touch(ends[0] - ends[1], on[0], on[1])


def _weights(core: Complexes, closed: bool, end: complex) -> Floats:
    """How the nearest point is mixed from the two core points between which it lies."""
    out = np.zeros(len(core))
    if len(core) == 1:
        out[0] = 1.0
        return out
    start, stop = (core, np.roll(core, -1)) if closed else (core[:-1], core[1:])
    edge = stop - start
    part = np.clip(dot(end - start, edge) / np.abs(edge) ** 2, 0.0, 1.0)
    i = int(np.argmin(np.abs(start + part * edge - end)))
    out[i], out[(i + 1) % len(core)] = 1.0 - part[i], part[i]
    return out


def _rate(s: Seeded, pair: Pair, driven: float) -> float:
    """Change of the distance per radian of driven rotation; nought in touch."""
    touch = _touch(s, pair, driven)
    size = abs(touch.apart)
    if size == 0.0:
        return 0.0
    motion, speed = motion_at(s.plain, np.array([driven]), 1), 0j
    for side, weights, sign in ((pair.a, touch.on_a, 1.0), (pair.b, touch.on_b, -1.0)):
        if weights is not None and side.plain is not None:
            for p, w in zip(side.plain.core, weights, strict=True):
                speed += sign * w * complex(motion.velocity(p.body, p.at)[0, 0]) if w else 0.0
    return float(dot(touch.apart / size, s.plain.drive_sense * speed))


def _slopes(s: Seeded, at: Poses, k: int, least: Least) -> list[Dual]:
    """The gap with its slopes, once for every two butt-line intervals that are the nearest; nothing in contact."""
    pair, none = least.pair, np.zeros(s.inputs)
    touch = _touch(s, pair, least.driven)
    size = abs(touch.apart)
    side = size - float(value_of(pair.a.radius)) - float(value_of(pair.b.radius))
    slope = none
    if side > 0.0 and size > 0.0:
        ends: list[Any] = []
        for one, weights in ((pair.a, touch.on_a), (pair.b, touch.on_b)):
            mixed = zip(one.part.core if one.part else (), () if weights is None else weights, strict=True)
            ends.append(sum((at.point(p)[k] * w for p, w in mixed if w), one.shift))
        # of a fixed side only the slope of its shift is known, so the value is put in its place
        slope = slope_of(dot(ends[0] - ends[1], touch.apart / size) - pair.a.radius - pair.b.radius, s.inputs)
    across = _lateral(pair)
    if not across:
        return [Dual(side, slope)] if side > 0.0 else []
    if side <= 0.0:
        return [Dual(value_of(x), slope_of(x, s.inputs)) for x in across]
    return [np.hypot(x, Dual(side, slope)) for x in across]


def _lateral(pair: Pair) -> list[Any]:
    """Lateral gaps of the nearest intervals, more than one where they tie; none where they overlap."""
    found = [max(lo2 - hi1, lo1 - hi2) for lo1, hi1 in pair.a.butt_lines for lo2, hi2 in pair.b.butt_lines]
    least = min(float(value_of(x)) for x in found)
    return [x for x in found if value_of(x) <= least + TIED] if least > 0.0 else []


def _tie(found: Sequence[Least], numbers: Sequence[Dual]) -> str:
    if len(numbers) == 0:
        return CONTACT
    if len(found) == 1:
        return "" if len(numbers) == 1 else "two sides tie: as near to the left as to the right"
    apart = max(abs(f.gap - f.pair.required - found[0].gap + found[0].pair.required) for f in found)
    return f"two places tie within {apart:.2g} mm: {' to '.join(found[1].pair.names)} is as near"
