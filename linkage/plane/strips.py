"""Everything the edges of a moving outline sweep over many steps, in few pieces: neighbouring steps are fused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.plane.ruled import (
    SAME,
    Complexes,
    Floats,
    Indices,
    at,
    cut_quads,
    edges_of,
    hulls,
    polygons,
    speeds,
    zeros_of,
)
from linkage.plane.vectors import cross

Run = tuple[int, int, int]
"""Edge, first step, end of steps."""


@dataclass(frozen=True)
class _Strips:
    """Part of every edge in every step that moves to one side only; all arrays (n, edges)."""

    start: Floats
    stop: Floats
    side: NDArray[np.int_]
    """1 to the right of the edge, -1 to the left, 0 not this part."""


def swept_by_edges(path: Complexes, closed: bool) -> tuple[NDArray[Any], NDArray[Any]]:
    """Pieces that hold what the edges of `path` (n + 1, m) sweep on straight chords between the rows.

    With `closed` (vertices anticlockwise) only what they sweep while moving outwards. Polygons, and lines where an edge
    slides along itself or rests. The second array has fewer pieces, which hold all but specks of the same.
    """
    a, b = edges_of(path, closed)
    f = speeds(a[:-1], b[:-1], a[1:], b[1:])
    mixed = np.any(f > 0, axis=0) & np.any(f < 0, axis=0)
    zeros = zeros_of(f)
    found = [_flat(path, f, closed)]
    for strips in _one_sided(f, mixed, zeros, closed):
        fused, quads = _fuse(a, b, strips)
        found += [fused, hulls(quads)]
    step, edge, rings = _folds(a, b, mixed, zeros)
    alone = mixed.copy()
    alone[step, edge] = False
    folds = polygons(list(rings))
    chains = _fold_chains(step, edge, rings)
    step, edge = np.nonzero(alone)
    _, quads = cut_quads(a[step, edge], b[step, edge], a[step + 1, edge], b[step + 1, edge], closed)
    found.append(hulls(quads))
    return np.concatenate([*found, folds]), np.concatenate([*found, chains])


def _flat(path: Complexes, f: Floats, closed: bool) -> NDArray[Any]:
    """Lines of edges of an open chain that sweep no area. A filled outline has them inside or on other pieces."""
    if closed:
        return np.array([], dtype=object)
    step, edge = np.nonzero(np.all(f == 0, axis=0))
    a, b = edges_of(path, closed)
    ends = np.stack([a[step, edge], b[step, edge], a[step + 1, edge], b[step + 1, edge]], axis=-1)
    return hulls(np.unique(ends, axis=0)) if step.size else np.array([], dtype=object)


def _one_sided(f: Floats, mixed: NDArray[np.bool_], zeros: Floats, closed: bool) -> list[_Strips]:
    """Whole edges, and the two parts of an edge before and after its fold."""
    low, high = zeros.min(axis=0), zeros.max(axis=0)
    whole = np.where(mixed, 0, np.sign(f.sum(axis=0))).astype(int)
    before = np.where(mixed & (low > 0), np.sign(f[0] + f[2]), 0).astype(int)
    after = np.where(mixed & (high < 1), np.sign(f[1] + f[3]), 0).astype(int)
    least = 0 if closed else -1
    nought, one = np.zeros_like(low), np.ones_like(low)
    return [
        _Strips(nought, one, np.maximum(whole, least)),
        _Strips(nought, low, np.maximum(before, least)),
        _Strips(high, one, np.maximum(after, least)),
    ]


def _fuse(a: Complexes, b: Complexes, strips: _Strips) -> tuple[NDArray[Any], Complexes]:
    """Simple polygons of runs of steps to one side, and the corners (p, 4) of steps that would not fuse.

    The outline of a run has at any point a winding number equal to the number of its quadrilaterals there; so if the
    outline does not meet itself, it is their union.
    """

    def sides(edge: int, i: int, j: int) -> list[Complexes]:
        return [_side(a, b, u, edge, i, j) for u in (strips.start, strips.stop)]

    runs = [run for edge in range(a.shape[1]) for run in _runs(edge, strips.side[:, edge])]
    found, lone = _simple(runs, lambda *run: _ring(*sides(*run)))
    return found, np.array([np.concatenate(sides(*run)) for run in lone], dtype=complex).reshape(-1, 4)


def _simple(runs: list[Run], ring: Callable[[int, int, int], Complexes]) -> tuple[NDArray[Any], list[Run]]:
    """Polygons of runs whose rings do not meet themselves; runs that do are halved. Also the single steps that do."""
    found: list[Any] = []
    lone: list[Run] = []
    while runs:
        made = polygons([ring(*run) for run in runs])
        good = shapely.is_valid(made)
        found.extend(made[good])
        bad = [run for run, fine in zip(runs, good, strict=True) if not fine]
        lone += [(edge, i, j) for edge, i, j in bad if j - i == 1]
        halves = [(edge, i, (i + j) // 2, j) for edge, i, j in bad if j - i > 1]
        runs = [(edge, p, q) for edge, i, k, j in halves for p, q in ((i, k), (k, j))]
    return np.array(found, dtype=object), lone


def _runs(edge: int, side: NDArray[np.int_]) -> list[Run]:
    """Runs of equal non-zero side."""
    marks = np.concatenate([[0], np.flatnonzero(np.diff(side)) + 1, [side.size]])
    return [(edge, int(i), int(j)) for i, j in pairwise(marks) if j > i and side[i] != 0]


def _side(a: Complexes, b: Complexes, u: Floats, edge: int, i: int, j: int) -> Complexes:
    """Points (2 steps,) along one side of a run: in every step from the first to the last position."""
    v = u[i:j, edge]
    first = at(a[i:j, edge], b[i:j, edge], v)
    last = at(a[i + 1 : j + 1, edge], b[i + 1 : j + 1, edge], v)
    return np.asarray(np.stack([first, last], axis=-1).ravel())


def _ring(start: Complexes, stop: Complexes) -> Complexes:
    ring = np.concatenate([_straight(start), _straight(stop)[::-1]])
    # The engine wants rings of four; one with less than three corners is flat and found invalid.
    return ring if ring.size > 2 else np.concatenate([ring, ring[:1], ring[:1], ring[:1]])


def _straight(side: Complexes) -> Complexes:
    """Side without points that lie on the line through their neighbours, spikes included: no area is lost.

    Where a fold moves along the edge, every other point is such a spike; which ones depends on its direction.
    """
    for first in (1, 2):
        before, here, after = side[first - 1 : -1], side[first:], side[first + 1 :]
        before, here, after = before[: after.size : 2], here[: after.size : 2], after[::2]
        chord = np.abs(after - before)
        keep = np.ones(side.size, dtype=bool)
        bent = np.abs(cross(here - before, after - before)) > SAME * chord
        keep[first : first + 2 * here.size : 2] = bent | (chord <= SAME)
        side = side[keep]
    apart = np.concatenate([[True], np.abs(np.diff(side)) > SAME])
    return np.asarray(side[apart])


def _folds(a: Complexes, b: Complexes, mixed: NDArray[np.bool_], zeros: Floats) -> tuple[Indices, Indices, Complexes]:
    """Step (p,), edge (p,) and ring (p, 4) of folds that lie within the edge; in the order of edges, then steps.

    The chord of a zero runs along the edge, so the chords of both zeros meet where the two positions of the edge cross:
    all chords between are tangents of the quadratic curve with the control points first zero, crossing, last zero. They
    lie between that curve and its control polygon. Two chords of the curve make the inner border.
    """
    edge, step = np.nonzero((mixed & np.all((zeros > 0) & (zeros < 1), axis=0)).T)
    u0, u1 = zeros[:, step, edge]
    a0, b0, a1, b1 = a[step, edge], b[step, edge], a[step + 1, edge], b[step + 1, edge]
    start, corner, end = at(a0, b0, u0), at(a0, b0, u1), at(a1, b1, u1)
    rings = np.stack([start, corner, end, (start + 2 * corner + end) / 4], axis=-1)
    sound = (np.abs(at(a1, b1, u0) - corner) <= SAME) & (np.abs(cross(corner - start, end - corner)) > 0)
    return step[sound], edge[sound], rings[sound]


def _fold_chains(step: Indices, edge: Indices, rings: Complexes) -> NDArray[Any]:
    """Neighbouring folds of one edge fused: corners outside, middles of the curves inside. Nearly their union."""
    turn = np.sign(cross(rings[:, 1] - rings[:, 0], rings[:, 2] - rings[:, 1]))
    breaks = (np.diff(edge) != 0) | (np.diff(step) != 1) | (np.diff(turn) != 0)
    marks = [0, *(np.flatnonzero(breaks) + 1), step.size]

    def ring(_: int, i: int, j: int) -> Complexes:
        r = rings[i:j]
        return np.concatenate([r[:1, 0], r[:, 1], r[-1:, 2], r[::-1, 3]])

    runs = [(0, int(i), int(j)) for i, j in pairwise(marks) if j > i]
    found, lone = _simple(runs, ring)
    return np.concatenate([found, hulls(rings[[i for _, i, _ in lone]])])
