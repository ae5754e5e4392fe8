"""Least gaps of all parts to all bay items, and to one another, in one search: an estimate by samples.

A gap changes by no more than its two sides move, so between two poses it is not below half of what is left when the
move is taken from the sum of both ends' gaps. Boxes around parts and items say from which poses nothing can come; the
others are measured, and cut up where a least gap may still lie. What is not proved is the way between poses: it is
taken as straight, with the sagitta that the second differences of the places show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import Clearance, Gap, in_space
from linkage.gear import LEG, Gear, GearPart
from linkage.glance.pairs import OWN, Indices, Pairs
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import trace
from linkage.plane.contact import signed
from linkage.plane.outlines import shapes_of
from linkage.stroke import Stroke

POSES = 61
"""Poses looked at first."""

PIECES = 3
"""Into how many pieces a cell is cut up."""

ROUNDS = 4

WITHIN = 0.5
"""mm. Cells that cannot hold a gap smaller by this are not cut up; so much an estimate may lie off the truth."""

DEPTHS = 12
"""Poses in contact at which the depth is measured, for each item."""

Flags = NDArray[np.bool_]


def quick_clearance(gear: Gear, stroke: Stroke, slices: Sequence[GearPart], pairs: Pairs) -> Clearance:
    """The nearest pair of every bay item, and the nearest two parts of the gear, each within `WITHIN` where there is no
    contact: ``gap`` not above the truth, ``upper`` reached. Depth of contact is that of the deepest sample."""
    nothing = np.full(len(stroke.driven), np.nan)
    if not len(pairs.one):
        return Clearance((), (), nothing, ())
    search = _Search(_Bodies(gear, slices), pairs)
    search.run(np.linspace(0.0, stroke.driven_up, POSES))
    found = search.found()
    own = tuple(g for group, g in found if group == pairs.own)
    bay = sorted((g for group, g in found if group != pairs.own), key=lambda g: g.margin)
    return Clearance(tuple(bay), own, nothing, ())


class _Bodies:
    """Cores of all slices at driven rotations, as one array (slices, poses, corners); corners that a core lacks repeat
    its first one."""

    def __init__(self, gear: Gear, slices: Sequence[GearPart]) -> None:
        self.gear, self.slices = gear, slices
        points = list(dict.fromkeys((p.body, p.at) for s in slices for p in s.core))
        self.trunnion = gear.pins["trunnion"].at
        most = max(len(s.core) for s in slices)
        self.forms = list(dict.fromkeys((len(s.core), s.closed) for s in slices))
        self.kinds = np.array([self.forms.index((len(s.core), s.closed)) for s in slices])
        place = {point: i for i, point in enumerate(points)}
        rows = [[place[p.body, p.at] for p in s.core] for s in slices]
        self.points, self.rows = points, np.array([r + r[:1] * (most - len(r)) for r in rows])

    def at(self, driven: Floats) -> Complexes:
        return self.with_swing(driven)[0]

    def with_swing(self, driven: Floats) -> tuple[Complexes, Floats]:
        """Cores, and the leg's swing as `linkage.stroke.swing_at` has it."""
        gear = self.gear
        points = [*self.points, (LEG, self.trunnion + gear.down)]
        traced = trace(gear.plan, gear.drive_sense * driven, points)[:, 0, :]
        swing = gear.leg_sense * np.angle((traced[-1] - self.trunnion) / gear.down)
        return np.swapaxes(traced[self.rows], 1, 2), np.asarray(swing)

    def shapes(self, which: Indices, pose: Indices, core: Complexes) -> NDArray[Any]:
        out, kinds = np.empty(len(which), dtype=object), self.kinds[which]
        for k, (corners, closed) in enumerate(self.forms):
            rows = np.flatnonzero(kinds == k)
            if len(rows):
                out[rows] = shapes_of(core[which[rows], pose[rows], :corners], closed)
        return out


@dataclass
class _Cells:
    """Stretches between two driven rotations of some pairs: margins at both ends, and the sagitta, mm."""

    pair: Indices
    lo: Floats
    hi: Floats
    at_lo: Floats
    at_hi: Floats
    sagitta: Floats
    travel: Floats

    @property
    def bound(self) -> Floats:
        return (self.at_lo + self.at_hi - self.travel) / 2 - self.sagitta

    def only(self, keep: Flags) -> _Cells:
        return _Cells(*(getattr(self, name)[keep] for name in self.__dataclass_fields__))


class _Search:
    """``best``: least margin met so far of each group; ``low``: least bound of all cells that were let go."""

    def __init__(self, bodies: _Bodies, pairs: Pairs) -> None:
        self.bodies, self.pairs = bodies, pairs
        self.best = np.full(pairs.own + 1, np.inf)
        self.low = np.full(pairs.own + 1, np.inf)
        self.touched = np.zeros(pairs.own + 1, dtype=bool)
        self.met: list[tuple[Indices, Floats, Floats, Flags]] = []

    def run(self, driven: Floats) -> None:
        cells = self._first(driven)
        for _ in range(ROUNDS):
            cells = self._let_go(cells)
            if not len(cells.pair):
                return
            cells = self._cut(cells)
        np.minimum.at(self.low, self.pairs.group[cells.pair], cells.bound)

    def _first(self, driven: Floats) -> _Cells:
        p, core = self.pairs, self.bodies.at(driven)
        margin = self._by_boxes(core)
        everyone = np.arange(len(p.one))
        nearest = margin.argmin(axis=1)
        margin[everyone, nearest] = self.measure(everyone, nearest, core, driven)
        hop, sagitta = _hops(core)
        moves = hop[p.one] + np.where((p.item == OWN)[:, None], hop[p.two], 0.0)
        bends = sagitta[p.one] + np.where((p.item == OWN)[:, None], sagitta[p.two], 0.0)
        bound = (margin[:, :-1] + margin[:, 1:] - moves) / 2 - bends
        keep = bound < (self.best - WITHIN)[p.group][:, None]
        np.minimum.at(self.low, p.group, np.where(keep, np.inf, bound).min(axis=1))
        pair, at = np.nonzero(keep)
        unknown = np.zeros(margin.shape, dtype=bool)
        unknown[pair, at] = unknown[pair, at + 1] = True
        unknown[everyone, nearest] = False
        rows, poses = np.nonzero(unknown)
        margin[rows, poses] = self.measure(rows, poses, core, driven)
        travel = self._travel(pair, core, at, at + 1)
        return _Cells(pair, driven[at], driven[at + 1], margin[pair, at], margin[pair, at + 1], bends[pair, at], travel)

    def _by_boxes(self, core: Complexes) -> Floats:
        """Lower bound of every pair's margin at every pose, (pairs, poses); no bound where the pair does not count."""
        p = self.pairs
        apart = np.sqrt(self._aside(core.real, 0) ** 2 + self._aside(core.imag, 1) ** 2) - p.radius[:, None]
        margin = np.asarray(in_space(p.lateral[:, None], apart), dtype=np.float64) - p.required[:, None]
        margin[p.up, :-1] = np.inf
        margin[p.rigid, 1:] = np.inf
        return np.asarray(margin)

    def _aside(self, places: Floats, axis: int) -> Floats:
        """How far the boxes of a pair lie beside one another along an axis, (pairs, poses), 0 where they overlap."""
        p, own = self.pairs, self.pairs.item == OWN
        low, high = places.min(axis=-1), places.max(axis=-1)
        mine_low, mine_high = low[p.one], high[p.one]
        away = np.zeros(mine_low.shape)
        if len(p.boxes):
            away = np.maximum(p.boxes[p.item, axis][:, None] - mine_high, mine_low - p.boxes[p.item, axis + 2][:, None])
        away[own] = np.maximum(low[p.two[own]] - mine_high[own], mine_low[own] - high[p.two[own]])
        return np.asarray(np.maximum(away, 0.0))

    def measure(self, pair: Indices, pose: Indices, core: Complexes, driven: Floats) -> Floats:
        """Margins (n,) of pairs at poses of ``core``; contact of the cores themselves counts as depth 0."""
        p = self.pairs
        if not len(pair):
            return np.zeros(0)
        one, two = self._sides(pair, pose, core)
        side = shapely.distance(one, two)
        margin = np.asarray(in_space(p.lateral[pair], side - p.radius[pair])) - p.required[pair]
        touches = (side == 0.0) & (p.lateral[pair] <= 0.0)
        group = p.group[pair]
        np.minimum.at(self.best, group, margin)
        self.touched[group[touches]] = True
        self.met.append((pair, driven[pose], margin, touches))
        return margin

    def _sides(self, pair: Indices, pose: Indices, core: Complexes) -> tuple[NDArray[Any], NDArray[Any]]:
        p = self.pairs
        own, two = p.item[pair] == OWN, np.empty(len(pair), dtype=object)
        one = self.bodies.shapes(p.one[pair], pose, core)
        two[~own] = p.shapes[p.item[pair][~own]]
        if own.any():
            two[own] = self.bodies.shapes(p.two[pair][own], pose[own], core)
        return one, two

    def _travel(self, pair: Indices, core: Complexes, before: Indices, after: Indices) -> Floats:
        """Longest way of any corner of one side as seen from any corner of the other, mm (n,)."""
        p = self.pairs
        one = core[p.one[pair], after] - core[p.one[pair], before]
        two = np.where((p.item[pair] == OWN)[:, None], core[p.two[pair], after] - core[p.two[pair], before], 0.0)
        return np.asarray(np.abs(one[:, :, None] - two[:, None, :]).max(axis=(1, 2), initial=0.0))

    def _let_go(self, cells: _Cells) -> _Cells:
        """Cells that may hold a smaller margin; where a group is in contact none is looked at."""
        group, bound = self.pairs.group[cells.pair], cells.bound
        keep = (bound < self.best[group] - WITHIN) & ~self.touched[group]
        np.minimum.at(self.low, group[~keep], bound[~keep])
        return cells.only(keep)

    def _cut(self, cells: _Cells) -> _Cells:
        part = np.arange(PIECES + 1) / PIECES
        marks = cells.lo[:, None] + (cells.hi - cells.lo)[:, None] * part
        driven, pose = np.unique(marks.ravel(), return_inverse=True)
        pose, core = pose.reshape(marks.shape), self.bodies.at(driven)
        inner = pose[:, 1:-1]
        pair = np.repeat(cells.pair, PIECES)
        margin = np.empty(marks.shape)
        margin[:, 0], margin[:, -1] = cells.at_lo, cells.at_hi
        found = self.measure(np.repeat(cells.pair, PIECES - 1), inner.ravel(), core, driven)
        margin[:, 1:-1] = found.reshape(inner.shape)
        before, after = pose[:, :-1].ravel(), pose[:, 1:].ravel()
        return _Cells(
            pair,
            driven[before],
            driven[after],
            margin[:, :-1].ravel(),
            margin[:, 1:].ravel(),
            np.repeat(cells.sagitta, PIECES) / PIECES**2,
            self._travel(pair, core, before, after),
        )

    def found(self) -> list[tuple[int, Gap]]:
        """The pair and place of the least margin of each group."""
        pair, driven, margin, touches = (np.concatenate(c) for c in zip(*self.met, strict=True))
        margin = self._with_depth(pair, driven, margin, touches)
        order = np.lexsort((driven, margin, self.pairs.group[pair]))
        groups, first = np.unique(self.pairs.group[pair][order], return_index=True)
        at = order[first]
        return list(zip(groups.tolist(), self._gaps(pair[at], driven[at], margin[at]), strict=True))

    def _with_depth(self, pair: Indices, driven: Floats, margin: Floats, touches: Flags) -> Floats:
        margin = margin.copy()
        for group in np.flatnonzero(self.touched):
            rows = np.flatnonzero(touches & (self.pairs.group[pair] == group))
            rows = rows[np.linspace(0, len(rows) - 1, min(DEPTHS, len(rows))).astype(int)]
            core = self.bodies.at(driven[rows])
            one, two = self._sides(pair[rows], np.arange(len(rows)), core)
            filled = shapely.get_dimensions(two) == 2
            a, b = np.where(filled, one, two), np.where(filled, two, one)
            margin[rows] = signed(a, b, 0.0) - self.pairs.radius[pair[rows]] - self.pairs.required[pair[rows]]
        return margin

    def _gaps(self, pair: Indices, driven: Floats, margin: Floats) -> list[Gap]:
        p, slices = self.pairs, self.bodies.slices
        core, swing = self.bodies.with_swing(driven)
        ends = self._ends(pair, core)
        out = []
        for i, k in enumerate(pair.tolist()):
            item = slices[p.two[k]].name if p.item[k] == OWN else p.names[p.group[k]]
            required, group = float(p.required[k]), p.group[k]
            lower = margin[i] if self.touched[group] else min(margin[i], self.low[group])
            lower = max(float(lower) + required, float(p.lateral[k])) if p.lateral[k] > 0 else float(lower) + required
            upper = float(margin[i]) + required
            out.append(
                Gap(
                    slices[p.one[k]].name, item, float(p.lateral[k]), lower, upper, required,
                    float(driven[i]), float(swing[i]), ends[i],
                )
            )  # fmt: skip
        return out

    def _ends(self, pair: Indices, core: Complexes) -> list[tuple[complex, complex]]:
        """The two nearest points in the side view, on the part's border and on the core of the other side."""
        one, two = self._sides(pair, np.arange(len(pair)), core)
        points = shapely.get_coordinates(shapely.shortest_line(one, two)).reshape(-1, 2, 2)
        z = points[..., 0] + 1j * points[..., 1]
        way = z[:, 1] - z[:, 0]
        size = np.abs(way)
        ahead = np.where(size > 0, way / np.where(size > 0, size, 1.0), 0.0)
        near = z[:, 0] + self.pairs.radius[pair] * ahead
        return [(complex(a), complex(b)) for a, b in zip(near, z[:, 1], strict=True)]


def _hops(core: Complexes) -> tuple[Floats, Floats]:
    """Longest way of a corner from each pose to the next, and the sagitta there, mm (slices, poses - 1)."""
    step = np.diff(core, axis=1)
    bend = np.abs(np.diff(step, axis=1)).max(axis=-1) / 8.0
    ends = np.concatenate([bend[:, :1], bend, bend[:, -1:]], axis=1)
    return np.abs(step).max(axis=-1), np.maximum(ends[:, :-1], ends[:, 1:])
