"""Search for the least margin of every group of pairs: what cannot hold it is let go, the rest measured and cut up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import in_space
from linkage.glance.apart import apart_along, cells_apart
from linkage.glance.bodies import Bodies, Poses
from linkage.glance.pairs import OWN, Indices, Pairs
from linkage.mechanism.model import Complexes, Floats

PIECES = 3
"""Into how many pieces a cell is cut up."""

ROUNDS = 4

WITHIN = 0.5
"""mm. Cells that cannot hold a gap smaller by this are not cut up; so much an estimate may lie off the truth."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Met:
    """Pairs measured at poses, (n,): margin in mm, the two nearest points of the cores; ``touches``: the cores do."""

    pair: Indices
    driven: Floats
    swing: Floats
    margin: Floats
    near: Complexes
    far: Complexes
    along: Complexes
    """From the far to the near point, unit numbers, 0 in contact."""
    touches: Flags


@dataclass(frozen=True)
class Cells:
    """Stretches between two poses of some pairs. At both ends (n, 2): driven rotations, margins in mm, directions in
    which the pairs are nearest. ``sagitta`` of the way between, and ``bound``: the least margin there can be, mm."""

    pair: Indices
    ends: Floats
    margin: Floats
    along: Complexes
    sagitta: Floats
    bound: Floats

    def only(self, keep: Flags) -> Cells:
        return Cells(*(getattr(self, name)[keep] for name in self.__dataclass_fields__))


class Search:
    """``best``: least margin met so far of each group; ``low``: least bound of all cells that were let go."""

    def __init__(self, bodies: Bodies, pairs: Pairs) -> None:
        self.bodies, self.pairs = bodies, pairs
        self.best = np.full(pairs.own + 1, np.inf)
        self.low = np.full(pairs.own + 1, np.inf)
        self.touched = np.zeros(pairs.own + 1, dtype=bool)
        self.met: list[Met] = []

    def run(self, driven: Floats) -> None:
        cells = self._first(self.bodies.at(driven))
        for _ in range(ROUNDS):
            cells = self._let_go(cells)
            if not len(cells.pair):
                return
            cells = self._cut(cells)
        np.minimum.at(self.low, self.pairs.group[cells.pair], cells.bound)

    def _first(self, poses: Poses) -> Cells:
        """Cells between neighbouring poses that may hold a least margin, by bounds that need no measuring but of the
        pair of each group that may come nearest."""
        p, sagitta = self.pairs, _sagitta(poses.core)
        bends = sagitta[p.one] + np.where((p.item == OWN)[:, None], sagitta[p.two], 0.0)
        bound = self._margin(slice(None), cells_apart(p, poses.core) - bends)
        still = p.up | p.rigid
        bound[still] = np.inf
        least, nearest = bound.min(axis=1), bound.argmin(axis=1)
        pair = np.concatenate([np.flatnonzero(still), _leaders(p.group, least)])
        pose = np.where(p.up, len(poses.driven) - 1, nearest)[pair]
        aimed = self.measure(pair, pose, poses)
        bound[pair] = np.maximum(bound[pair], self._seen(aimed, poses, bends[pair]))
        keep = bound < self._wanted()[p.group][:, None]
        np.minimum.at(self.low, p.group, np.where(keep, np.inf, bound).min(axis=1))
        pair, at = np.nonzero(keep)
        return self._measured(pair.astype(np.intp), at.astype(np.intp), poses, bends, bound)

    def _seen(self, aimed: Met, poses: Poses, bends: Floats) -> Floats:
        """Bounds of all cells of pairs, as seen along where each was nearest at one pose."""
        every = np.broadcast_to(np.arange(len(poses.driven)), (len(aimed.pair), len(poses.driven)))
        apart = apart_along(self.pairs, aimed.pair, aimed.along, every, poses.core)
        return self._margin(aimed.pair, np.minimum(apart[:, :-1], apart[:, 1:]) - bends)

    def _measured(self, pair: Indices, at: Indices, poses: Poses, bends: Floats, bound: Floats) -> Cells:
        """Cells of pairs that begin at poses, measured at both ends; neighbours share one."""
        pose, count = np.stack([at, at + 1], axis=1), len(poses.driven)
        places, back = np.unique(pair[:, None] * count + pose, return_inverse=True)
        met, back = self.measure(*np.divmod(places, count), poses), back.reshape(pose.shape)
        cells = Cells(pair, poses.driven[pose], met.margin[back], met.along[back], bends[pair, at], bound[pair, at])
        return self._bounded(cells, pose, poses.core)

    def _margin(self, pair: Any, side: Floats) -> Floats:
        """Margins of pairs whose cores are ``side`` mm apart in the side view."""
        p, more = self.pairs, (..., *(None,) * (side.ndim - 1))
        apart = in_space(p.lateral[pair][more], side - p.radius[pair][more])
        return np.asarray(apart - p.required[pair][more])

    def measure(self, pair: Indices, pose: Indices, poses: Poses) -> Met:
        """Pairs at poses, (n,); contact of the cores themselves counts as depth 0."""
        p, group = self.pairs, self.pairs.group[pair]
        lines = shapely.shortest_line(*self.sides(pair, pose, poses))
        near, far = (shapely.get_coordinates(lines) @ (1.0, 1j)).reshape(-1, 2).T
        way = near - far
        side = np.abs(way)
        along, touches = way / np.where(side > 0, side, 1.0), (side == 0.0) & (p.lateral[pair] <= 0.0)
        met = Met(pair, poses.driven[pose], poses.swing[pose], self._margin(pair, side), near, far, along, touches)
        np.minimum.at(self.best, group, met.margin)
        self.touched[group[touches]] = True
        self.met.append(met)
        return met

    def sides(self, pair: Indices, pose: Indices, poses: Poses) -> tuple[NDArray[Any], NDArray[Any]]:
        """Geometries of both cores."""
        p = self.pairs
        own, two = p.item[pair] == OWN, np.empty(len(pair), dtype=object)
        one = self.bodies.shapes(p.one[pair], pose, poses.core)
        two[~own] = p.shapes[p.item[pair][~own]]
        if own.any():
            two[own] = self.bodies.shapes(p.two[pair][own], pose[own], poses.core)
        return one, two

    def _bounded(self, cells: Cells, pose: Indices, core: Complexes) -> Cells:
        """The cells with the greatest of what they know already, what the moves of both sides leave of the margins at
        the ends, and what is seen along the nearest lines there. ``pose``: both ends in ``core`` (n, 2)."""
        twice = np.concatenate([cells.pair, cells.pair])
        along = apart_along(self.pairs, twice, cells.along.T.ravel(), np.concatenate([pose, pose]), core)
        side = along.min(axis=1).reshape(2, -1).max(axis=0) - cells.sagitta
        moved = (cells.margin.sum(axis=1) - self._travel(cells.pair, core, pose)) / 2 - cells.sagitta
        bound = np.maximum(np.maximum(cells.bound, moved), self._margin(cells.pair, side))
        return Cells(cells.pair, cells.ends, cells.margin, cells.along, cells.sagitta, bound)

    def _travel(self, pair: Indices, core: Complexes, pose: Indices) -> Floats:
        """Longest way of any corner of one side as seen from any corner of the other, mm (n,)."""
        p, (before, after) = self.pairs, pose.T
        one = core[p.one[pair], after] - core[p.one[pair], before]
        two = np.where((p.item[pair] == OWN)[:, None], core[p.two[pair], after] - core[p.two[pair], before], 0.0)
        return np.asarray(np.abs(one[:, :, None] - two[:, None, :]).max(axis=(1, 2), initial=0.0))

    def _wanted(self) -> Floats:
        """What a cell of each group must be able to fall below; where a group is in contact no cell is looked at."""
        return np.where(self.touched, -np.inf, self.best - WITHIN)

    def _let_go(self, cells: Cells) -> Cells:
        group = self.pairs.group[cells.pair]
        keep = cells.bound < self._wanted()[group]
        np.minimum.at(self.low, group[~keep], cells.bound[~keep])
        return cells.only(keep)

    def _cut(self, cells: Cells) -> Cells:
        """Every cell in `PIECES`."""
        lo, hi = cells.ends.T[..., None]
        marks = lo + (hi - lo) * (np.arange(PIECES + 1) / PIECES)
        pose, poses = np.arange(marks.size).reshape(marks.shape), self.bodies.at(marks.ravel())
        inner = pose[:, 1:-1]
        met = self.measure(np.repeat(cells.pair, PIECES - 1), inner.ravel(), poses)
        margin = np.column_stack([cells.margin[:, 0], met.margin.reshape(inner.shape), cells.margin[:, 1]])
        along = np.column_stack([cells.along[:, 0], met.along.reshape(inner.shape), cells.along[:, 1]])
        whole = np.repeat(np.arange(len(cells.pair)), PIECES)
        sagitta, bound = cells.sagitta[whole] / PIECES**2, cells.bound[whole]
        cut = Cells(cells.pair[whole], _both(marks), _both(margin), _both(along), sagitta, bound)
        return self._bounded(cut, _both(pose), poses.core)


def _leaders(group: Indices, least: Floats) -> Indices:
    """Of each group the place of the least value, if that is finite."""
    order = np.lexsort((least, group))
    first = order[np.unique(group[order], return_index=True)[1]]
    return np.asarray(first[np.isfinite(least[first])])


def _both(marks: NDArray[Any]) -> NDArray[Any]:
    """Both ends of the pieces of all cells, (pieces, 2), from their marks (cells, pieces + 1)."""
    return np.stack([marks[:, :-1].ravel(), marks[:, 1:].ravel()], axis=1)


def _sagitta(core: Complexes) -> Floats:
    """How far corners stray from even straight runs between neighbouring poses, mm (slices, poses - 1)."""
    bend = np.abs(np.diff(core, 2, axis=1)).max(axis=-1) / 8.0
    ends = np.concatenate([bend[:, :1], bend, bend[:, -1:]], axis=1)
    return np.asarray(np.maximum(ends[:, :-1], ends[:, 1:]))


def all_met(met: Sequence[Met]) -> Met:
    """Everything met, in one."""
    return Met(*(np.concatenate([getattr(m, name) for m in met]) for name in Met.__dataclass_fields__))
