"""The strip that a moving straight edge sweeps between two positions, cut into pieces that hold it.

Between two positions the ends of an edge run on straight chords, so the edge point at fraction `u` is at
``(1 - l) * P0(u) + l * P1(u)``. Its speed across the edge, times the edge's length, is bilinear in (l, u):
``f = (1 - l) * f0(u) + l * f1(u)``. Where f has one sign the swept strip is exactly the convex quadrilateral of its
four corners. f0 and f1 have the same slope, so the signs differ only between their two zeros: a short `fold`. Without
the cut at the zeros the hull of an edge that turns about a point of itself would exceed the truth in first order.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.plane.outlines import xy
from linkage.plane.vectors import cross, dot

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

FOLD_CUTS = 4
"""Pieces of a fold where hulls are taken: their excess is about (1 + 1/cuts)**2 chord errors, never less than one."""

NOISE = 1e-12
"""Relative size below which a speed across the edge is rounding."""

SAME = 1e-9
"""mm. Points nearer than this are one; far below any tolerance, far above rounding."""


def edges_of(core: Complexes, closed: bool) -> tuple[Complexes, Complexes]:
    """Starts and ends of the edges, (..., m) or (..., m - 1), of vertices (..., m)."""
    if closed:
        return core, np.roll(core, -1, axis=-1)
    return core[..., :-1], core[..., 1:]


def anticlockwise(*cores: Complexes) -> tuple[Complexes, ...]:
    """Vertices (k, m) of each array, all reversed if the first outline of the first runs clockwise."""
    ring = cores[0][0]
    reverse = float(cross(ring, np.roll(ring, -1)).sum()) < 0.0
    return tuple(core[..., ::-1] for core in cores) if reverse else cores


def speeds(a0: Complexes, b0: Complexes, a1: Complexes, b1: Complexes) -> Floats:
    """Speed to the right of the edge times its length, (4, ...): start and end at the first, then the last position."""
    d0, d1, va, vb = b0 - a0, b1 - a1, a1 - a0, b1 - b0
    f = np.stack([cross(va, d0), cross(vb, d0), cross(va, d1), cross(vb, d1)])
    noise = NOISE * (np.abs(d0) + np.abs(d1)) * (np.abs(va) + np.abs(vb))
    return np.where(np.abs(f) <= noise, 0.0, f)


def zeros_of(f: Floats) -> Floats:
    """Fractions (2, ...) along the edge, within 0..1, at which the first and the last position have no cross speed."""
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.stack([f[0] / (f[0] - f[1]), f[2] / (f[2] - f[3])])
    return np.asarray(np.where(np.isnan(u), 0.0, np.clip(u, 0.0, 1.0)))


def largest(vectors: Complexes) -> Floats:
    """Greatest length (k,) among vectors (k, m)."""
    return np.asarray(np.max(np.abs(vectors), axis=1))


def at(start: Complexes, end: Complexes, u: Floats) -> Complexes:
    """Point at fraction `u`; exact at 0 and 1."""
    return (1.0 - u) * start + u * end


def cut_quads(
    a0: Complexes, b0: Complexes, a1: Complexes, b1: Complexes, leading_only: bool
) -> tuple[Indices, Complexes]:
    """Cut the strips of edges a-b from position 0 to position 1, all (k,), at the changes of sign.

    Returns the owner (p,) of each piece, an index into the k strips, and its four corners (p, 4). The convex hulls of
    the pieces hold the strips. With `leading_only`, pieces that nowhere move to the right of their edge are left out.
    """
    f = speeds(a0, b0, a1, b1)
    folds = np.any(f > 0, axis=0) & np.any(f < 0, axis=0)
    mixed, plain = np.flatnonzero(folds), np.flatnonzero(~folds)
    zeros = zeros_of(f[:, mixed])
    low, high = zeros.min(axis=0), zeros.max(axis=0)
    inner = low + (high - low) * np.linspace(0.0, 1.0, FOLD_CUTS + 1)[:, None]
    marks = np.concatenate([np.zeros((1, low.size)), inner, np.ones((1, low.size))])
    piece, owner = np.nonzero(np.diff(marks, axis=0) > 0)
    start = np.concatenate([np.zeros(plain.size), marks[piece, owner]])
    stop = np.concatenate([np.ones(plain.size), marks[piece + 1, owner]])
    owner = np.concatenate([plain, mixed[owner]])
    if leading_only:
        g = f[:, owner]
        ends = [g[k] + u * (g[k + 1] - g[k]) for k in (0, 2) for u in (start, stop)]
        keep = np.max(ends, axis=0) > 0
        owner, start, stop = owner[keep], start[keep], stop[keep]
    first, last = (a0[owner], b0[owner]), (a1[owner], b1[owner])
    quads = np.stack([at(*first, start), at(*first, stop), at(*last, stop), at(*last, start)], axis=-1)
    return owner, quads


def hulls(quads: Complexes) -> NDArray[Any]:
    """Convex hulls (p,) of point sets (p, q): polygons, or lines and points where there is no area."""
    return np.asarray(shapely.convex_hull(shapely.linestrings(xy(quads))))  # a line is one object, points are many


def polygons(rings: list[Complexes]) -> NDArray[Any]:
    """Polygons from rings of at least three points."""
    if not rings:
        return np.array([], dtype=object)
    points = np.concatenate(rings)
    owner = np.repeat(np.arange(len(rings)), [r.size for r in rings])
    return np.asarray(shapely.polygons(shapely.linearrings(points.real, points.imag, indices=owner)))


def strip_distance(first: Complexes, last: Complexes, closed: bool, leading_only: bool, other: Any) -> Floats:
    """Least distance (k,) to `other` of what the edges of cores (k, m) sweep on straight ways."""
    if first.shape[1] == 1:
        return np.asarray(shapely.distance(hulls(np.stack([first[:, 0], last[:, 0]], axis=-1)), other))
    if leading_only:
        first, last = anticlockwise(first, last)
    a0, b0 = edges_of(first, closed)
    a1, b1 = edges_of(last, closed)
    owner, quads = cut_quads(a0.ravel(), b0.ravel(), a1.ravel(), b1.ravel(), leading_only)
    apart = np.full(first.shape[0], np.inf)
    np.minimum.at(apart, owner // a0.shape[1], shapely.distance(hulls(quads), other))
    return apart


def relative_distance(
    first: tuple[Complexes, Complexes], last: tuple[Complexes, Complexes], closed_a: bool, closed_b: bool
) -> Floats:
    """Least distance (k,) between vertices of one and edges of the other while both go straight ways together.

    Chains that are apart at the start stay apart as long as no vertex meets an edge, and then the nearest pair always
    has a vertex in it. Seen from the vertex, the edge sweeps a strip past the origin.
    """
    cells = first[0].shape[0]
    apart = np.full(cells, np.inf)
    for edges, vertex, closed in ((0, 1, closed_a), (1, 0, closed_b)):
        seen = [both[edges][:, None, :] - both[vertex][:, :, None] for both in (first, last)]
        if seen[0].shape[2] == 1:
            quads = np.concatenate([seen[0], seen[1]], axis=2).reshape(-1, 2)
            owner = np.arange(quads.shape[0])
        else:
            ends = [e for both in seen for e in edges_of(both, closed)]
            owner, quads = cut_quads(ends[0].ravel(), ends[1].ravel(), ends[2].ravel(), ends[3].ravel(), False)
            owner //= ends[0].shape[2]
        np.minimum.at(apart, owner // seen[0].shape[1], origin_distance(quads))
    return apart


def origin_distance(quads: Complexes) -> Floats:
    """Distance (p,) of the origin from the convex hulls of point sets (p, q), 0 within."""
    left, right = np.triu_indices(quads.shape[1], 1)
    a, d = quads[:, left], quads[:, right] - quads[:, left]
    square = np.maximum(np.abs(d) ** 2, 1e-300)
    least = np.min(np.abs(a + np.clip(-dot(a, d) / square, 0.0, 1.0) * d), axis=1)
    # The origin is outside when all points are seen within less than half a turn.
    seen = np.sort(np.angle(quads), axis=1)
    widest = np.max(np.diff(seen, axis=1, append=seen[:, :1] + 2 * np.pi), axis=1)
    return np.where(widest > np.pi + NOISE, least, 0.0)
