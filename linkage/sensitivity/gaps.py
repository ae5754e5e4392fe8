"""Least gaps: to each bay item, and of the gear to itself, differentiated at their closest pair of points.

A least distance does not feel where along the edges its ends lie, nor where on the way the least is found; at an end of
the stroke the end itself moves. What is differentiated is the true gap, of which the findings hold a lower bound.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from linkage.clearance import Gap
from linkage.gear import LEG
from linkage.mechanism.model import Floats
from linkage.plane.duals import Dual, slope_of, value_of
from linkage.plane.vectors import dot
from linkage.results import Results
from linkage.sensitivity.model import Found, Rival
from linkage.sensitivity.nearest import Least, Pair, Side, leasts
from linkage.sensitivity.seeded import Seeded, poses

TIED = 1e-9
"""mm. Two gaps that differ by less are the same."""
CONTACT = "in contact: a depth is not differentiated"


def gaps(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    """One result for each bay item, and one for the gear against itself."""
    chosen: list[tuple[str, str, Gap, list[Least]]] = []
    for item in dict.fromkeys(g.item for g in r.clearance.bay):
        known = [g for g in r.clearance.bay if g.item == item]
        chosen.append((f"gap to {item}", f"least gap to {item}", known[0], _every(r, s, known, _to_item)))
    if r.clearance.own:
        own = r.clearance.own
        chosen.append(("self gap", "least gap of the gear to itself", own[0], _every(r, s, own, _to_self)))
    places = [least for *_, found in chosen for least in found]
    if not places:
        return
    at = poses(s, [p.driven for p in places], np.array([(p.end or 0.0) * pace for p in places]))
    swing = np.degrees(s.plain.leg_sense * at.motion.angle(LEG)[0]) + 0.0
    core = {id(p): p for x in places for side in (x.pair.a, x.pair.b) if side.part for p in side.part.core}
    spots = {key: at.point(p) for key, p in core.items()}
    k = 0
    for name, title, judged, found in chosen:
        numbers = [_slopes(s, spots, k + n, least) for n, least in enumerate(found)]
        words = [f"{' to '.join(x.pair.names)} at {swing[k + n]:.1f} deg swing" for n, x in enumerate(found)]
        if numbers[0]:
            yield _found(name, title, found, numbers, words)
        else:  # how deep they are is for the finding to say
            where = f"{judged.part} to {judged.item} at {math.degrees(judged.swing) + 0.0:.1f} deg swing"
            yield Found(name, title, "mm", Dual(judged.gap, np.zeros(s.inputs)), CONTACT, where)
        k += len(found)


def _found(name: str, title: str, found: list[Least], numbers: list[list[Dual]], words: list[str]) -> Found:
    """The first of the lows and all that tie with it, at other places or between other intervals; the rest are its
    rivals."""
    least = found[0]
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


def _every(r: Results, s: Seeded, known: Sequence[Gap], pairs: Any) -> list[Least]:
    """Least gaps of all pairs, that with the least margin first. Every ``Gap`` is a lower bound, least margin first: a
    pair that by it cannot be the least is a rival, whose place is that of the pose table."""
    found: list[Least] = []
    for names in dict.fromkeys((g.part, g.item) for g in known):
        bound = min(g.margin for g in known if (g.part, g.item) == names)
        best = min((f.gap - f.pair.required for f in found), default=math.inf)
        for pair in pairs(r, s, names):
            found += leasts(r, s, pair, bound <= best + TIED)
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
