"""Signed gap between a core grown by a disc and an obstacle, at given positions.

    clear core:    distance from core to obstacle - radius
    core in touch: -(radius + depth), depth = how far the deepest core point lies inside the obstacle

So it is negative when the grown body overlaps the obstacle and 0 when they touch. The depth counts only where the
obstacle has an area. It is taken at sampled points of the overlap (its corners, points along its edges and one point
within), so it is never overstated; for a core of one point it is exact. Lengths in mm.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.plane.outer import quarter_segments
from linkage.plane.ruled import Complexes, Floats, Indices

EDGE_MARKS = np.linspace(0.0, 1.0, 9)
EDGE_ROUNDS = 10
"""The deepest point of an edge is looked for at so many marks, then between the neighbours of the deepest, ..."""

SHARP = 0.005
"""mm. Edges that cannot raise the depth by more are looked at no closer."""

NO_AREA = shapely.Polygon()

EROSION_MARGIN = 1e-6
"""mm by which less is taken away than asked, above the rounding of the difference."""


def signed(shapes: NDArray[Any], others: NDArray[Any], radius: float) -> Floats:
    """Signed gaps (k,) of core geometries (k,) to obstacles (k,) or (1,)."""
    gap = np.asarray(shapely.distance(shapes, others), dtype=float)
    touching = np.flatnonzero((gap == 0.0) & (shapely.get_dimensions(others) == 2))  # nothing lies in a line
    if touching.size:
        others = np.broadcast_to(others, shapes.shape)
        _, owner, depth = overlap(shapes[touching], others[touching])
        np.minimum.at(gap, touching[owner], -depth)
    return gap - radius


def overlap(shapes: NDArray[Any], others: NDArray[Any]) -> tuple[Complexes, Indices, Floats]:
    """Sampled points (p,) of each shape's overlap with the other's area, their owners and depths in it (p,)."""
    areas = areal(others)
    borders = shapely.boundary(areas)
    parts, owner = shapely.get_parts(shapely.intersection(shapes, areas), return_index=True)
    inner, inner_part = shapely.get_coordinates(shapely.point_on_surface(parts), return_index=True)
    filled = shapely.get_dimensions(parts) == 2
    rings, ring_part = shapely.get_parts(np.where(filled, shapely.boundary(parts), parts), return_index=True)
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    flat = corners[:, 0] + 1j * corners[:, 1]
    edge_owner = owner[ring_part[ring[1:][same]]]
    edge_points, edge_depths, edge_owner = _along_edges(flat[:-1][same], flat[1:][same], edge_owner, borders)
    lone = np.concatenate([flat, inner[:, 0] + 1j * inner[:, 1]])
    lone_owner = owner[np.concatenate([ring_part[ring], inner_part])]
    points = np.concatenate([lone, edge_points])
    depths = np.concatenate([_depth(lone, borders[lone_owner]), edge_depths])
    return points, np.concatenate([lone_owner, edge_owner]), depths


def _depth(points: Complexes, borders: NDArray[Any]) -> Floats:
    """Distance of points of an area to its border; 0 where there is no border."""
    return np.asarray(np.nan_to_num(shapely.distance(borders, shapely.points(points.real, points.imag))))


def _along_edges(
    start: Complexes, end: Complexes, owner: Indices, borders: NDArray[Any]
) -> tuple[Complexes, Floats, Indices]:
    """Deep points of edges within an area, their depths and owners: closer and closer where an edge may be deepest."""
    found: list[tuple[Complexes, Floats, Indices]] = [(start[:0], np.zeros(0), owner[:0])]
    deepest = np.zeros(borders.size)
    for _ in range(EDGE_ROUNDS):
        marks = start[:, None] + (end - start)[:, None] * EDGE_MARKS
        depth = _depth(marks.ravel(), np.repeat(borders[owner], EDGE_MARKS.size)).reshape(marks.shape)
        row, top = np.arange(start.size), depth.argmax(axis=1)
        found.append((marks[row, top], depth[row, top], owner))
        np.maximum.at(deepest, owner, depth[row, top])
        # Depth changes no faster than the point moves.
        may = depth[row, top] + np.abs(end - start) / (EDGE_MARKS.size - 1) / 2 > deepest[owner] + SHARP
        start, end = marks[row, np.maximum(top - 1, 0)][may], marks[row, np.minimum(top + 1, EDGE_MARKS.size - 1)][may]
        owner = owner[may]
        if owner.size == 0:
            break
    points, depths, owners = (np.concatenate(column) for column in zip(*found, strict=True))
    return points, depths, owners


def areal(others: NDArray[Any]) -> NDArray[Any]:
    """The part of each geometry that has an area (an empty polygon where there is none)."""
    out, kinds = np.array(others, dtype=object), shapely.get_type_id(others)
    out[shapely.get_dimensions(others) < 2] = NO_AREA
    for k in np.flatnonzero((kinds == shapely.GeometryType.GEOMETRYCOLLECTION) & (out != NO_AREA)):
        parts = shapely.get_parts(others[k])
        out[k] = shapely.union_all(parts[shapely.get_dimensions(parts) == 2])
    return out


def deepest_bound(obstacle: Any) -> float:
    """Bound of the depth of any point in an obstacle: half the lesser side of the boxes around its parts."""
    parts = shapely.get_parts(areal(np.array([obstacle], dtype=object)))
    boxes = shapely.bounds(parts[~shapely.is_empty(parts)]).reshape(-1, 4)
    return float(np.min(boxes[:, 2:] - boxes[:, :2], axis=1).max(initial=0.0) / 2)


def eroded_outer(obstacle: Any, depth: float, tol: float) -> Any:
    """What of an obstacle lies at least `depth` inside it, never smaller than the truth, by about `tol` too large.

    Each border edge takes away a capsule that lies inside the true one; anything the engine might lose of them would
    only leave more.
    """
    area = areal(np.array([obstacle], dtype=object))[0]
    points, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(area)), return_index=True)
    same = ring[1:] == ring[:-1]
    edges = shapely.linestrings(np.stack([points[:-1][same], points[1:][same]], axis=1))
    capsules = shapely.buffer(edges, depth - EROSION_MARGIN, quad_segs=quarter_segments(depth, tol))
    return shapely.difference(area, shapely.union_all(capsules))
