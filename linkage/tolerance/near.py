"""Distance of moving cores from a fixed shape, for whole families at once, exact as long as they stay apart.

As long as a core moves by less than its drawn distance it cannot touch the shape, and only edges that are near enough
in the drawn place can become the nearest: those alone are measured, in plain arrays. Where a core may touch, the
general signed gap of `linkage.plane.gaps` is asked.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from linkage.mechanism.model import Complexes, Floats
from linkage.plane.gaps import gap_curve
from linkage.plane.outlines import shapes_of
from linkage.plane.vectors import dot, square

ROUNDING = 1e-6
"""mm. Far above the rounding of a distance; keeps the nearest edge itself among those measured."""


def signed_gaps(
    core: Complexes, drawn: Complexes, closed: bool, radius: float, shape: Any, depth: bool = True
) -> Floats:
    """Signed gap (n,) of cores (n, m) to a shape, mm. ``drawn`` (m,): a core near all of them. NaN where a core is.

    Without ``depth`` cores that touch lie at minus the radius, however deep they are in."""
    out = np.full(len(core), np.nan)
    moved = np.abs(core - drawn).max(axis=1)
    fine = np.isfinite(moved)
    if not fine.any():
        return out
    clear = float(gap_curve(drawn[None, :], closed, 0.0, shape)[0])
    apart = fine & (moved < clear)
    if apart.any():
        out[apart] = _apart(core[apart], drawn, closed, shape, clear + 2.0 * float(moved[apart].max())) - radius
    rest = fine & ~apart
    if rest.any():
        if depth:
            out[rest] = gap_curve(core[rest], closed, radius, shape)
        else:
            out[rest] = shapely.distance(shapes_of(core[rest], closed), shape) - radius
    return out


def _apart(core: Complexes, drawn: Complexes, closed: bool, shape: Any, reach: float) -> Floats:
    """Distance of cores that do not touch: of the edges of either within ``reach`` of the other in the drawn place."""
    starts, ends = edges_of(shape)
    near = _between_edges(*_chain(drawn[None, :], closed), starts, ends)[0] <= reach + ROUNDING
    best = np.full(len(core), np.inf)
    a, b = _chain(core, closed)
    for i, j in zip(*np.nonzero(near), strict=True):
        best = np.minimum(best, _edge_to_edge(a[:, i], b[:, i], starts[j], ends[j]))
    return best


def edges_of(shape: Any) -> tuple[Complexes, Complexes]:
    """Both ends of every edge of a geometry's border; a lone point is an edge of no length."""
    starts: list[Complexes] = []
    ends: list[Complexes] = []
    for part in shapely.get_parts(np.atleast_1d(shape)):
        lines = shapely.get_parts(shapely.boundary(part)) if part.geom_type == "Polygon" else [part]
        for line in lines:
            xy = shapely.get_coordinates(line)
            points = xy[:, 0] + 1j * xy[:, 1]
            starts.append(points[:-1] if len(points) > 1 else points)
            ends.append(points[1:] if len(points) > 1 else points)
    return np.concatenate(starts), np.concatenate(ends)


def _chain(core: Complexes, closed: bool) -> tuple[Complexes, Complexes]:
    if core.shape[1] == 1:
        return core, core
    if closed:
        return core, np.roll(core, -1, axis=1)
    return core[:, :-1], core[:, 1:]


def _between_edges(a: Complexes, b: Complexes, c: Complexes, d: Complexes) -> Floats:
    """Distances (n, edges of the core, edges of the shape)."""
    return _edge_to_edge(a[:, :, None], b[:, :, None], c[None, None, :], d[None, None, :])


def _edge_to_edge(a: Any, b: Any, c: Any, d: Any) -> Floats:
    """Distance of two edges that do not cross: at one of the four ends. The whole distance if one is a point."""
    found = np.minimum(_to_edge(a, c, d), _to_edge(b, c, d)) if a is not b else _to_edge(a, c, d)
    if np.any(a != b):
        found = np.minimum(found, np.minimum(_to_edge(c, a, b), _to_edge(d, a, b)))
    return np.asarray(found)


def _to_edge(p: Any, a: Any, b: Any) -> Any:
    """Distance of points from edges."""
    way = b - a
    length = square(way)
    along = np.clip(dot(p - a, way) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    return np.abs(p - a - along * way)
