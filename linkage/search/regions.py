"""Even sampling of regions in the side view, by numbers between 0 and 1, and what lies inside them."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.document.wanted import Region
from linkage.mechanism.model import Complexes, Floats
from linkage.plane.outlines import xy
from linkage.plane.vectors import cross, dot


def shape_of(region: Region) -> Any:
    """shapely geometry: a polygon, or a line or point where the region has no width."""
    corners = np.array(region.corners)
    if region.outline is not None:
        return shapely.Polygon(xy(corners))
    left, low, right, high = _bounds(corners)
    if left == right and low == high:
        return shapely.Point(left, low)
    return shapely.box(left, low, right, high) if left < right and low < high else shapely.LineString(xy(corners[::2]))


def inside(region: Region, points: Complexes) -> NDArray[np.bool_]:
    """Which points (designs,) are in the region, its edge with it."""
    corners = np.array(region.corners)
    left, low, right, high = _bounds(corners)
    within = (points.real >= left) & (points.real <= right) & (points.imag >= low) & (points.imag <= high)
    if region.outline is not None:
        shape = shapely.Polygon(xy(corners))
        shapely.prepare(shape)
        within[within] = shapely.intersects_xy(shape, points[within].real, points[within].imag)
    return np.asarray(within)


def spread(region: Region, u: Floats, v: Floats) -> Complexes:
    """Points of the region for pairs of numbers between 0 and 1, even in area."""
    corners = np.array(region.corners)
    if region.outline is None:
        left, low, right, high = _bounds(corners)
        return np.asarray(left + u * (right - left) + 1j * (low + v * (high - low)))
    triangles = [np.array(t.exterior.coords)[:3] for t in _triangles(shapely.Polygon(xy(corners)))]
    a, b, c = (np.array([complex(*t[k]) for t in triangles]) for k in range(3))
    ends = np.cumsum([abs(shapely.Polygon(t).area) for t in triangles])
    ends = np.concatenate([[0.0], ends / ends[-1]])
    which = np.clip(np.searchsorted(ends, u, side="right") - 1, 0, len(triangles) - 1)
    share = np.sqrt((u - ends[which]) / (ends[which + 1] - ends[which]))  # from corner a, even in area
    edge = b[which] + v * (c[which] - b[which])
    return np.asarray(a[which] + share * (edge - a[which]))


def along_line(region: Region, through: Complexes, way: Complexes) -> tuple[Floats, Floats]:
    """Part of each line ``through + t * way`` (``way`` of length one) over the region's convex hull: least and greatest
    t, NaN where the line misses it. A region without an area is crossed at one t."""
    shape = shape_of(region)
    if shape.area == 0:
        a, *_, b = shapely.get_coordinates(shape) @ np.array([1.0, 1j])
        return _across(a, b, through, way)
    corners = _hull(np.array(region.corners))
    low, high = np.full(through.shape, -np.inf), np.full(through.shape, np.inf)
    for a, b in zip(corners, np.roll(corners, -1), strict=True):
        inward = 1j * (b - a)
        depth = ((through - a) * inward.conjugate()).real
        gain = (way * inward.conjugate()).real
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -depth / gain
        low = np.where(gain > 0, np.maximum(low, t), low)
        high = np.where(gain < 0, np.minimum(high, t), high)
        high = np.where((gain == 0) & (depth < 0), -np.inf, high)
    missed = low > high
    return np.where(missed, np.nan, low), np.where(missed, np.nan, high)


def _across(a: complex, b: complex, through: Complexes, way: Complexes) -> tuple[Floats, Floats]:
    """Where the lines cross the one from a to b, ends included; lines along it count as missing it."""
    with np.errstate(divide="ignore", invalid="ignore"):
        part = cross(through - a, way) / cross(b - a, way)
        t = np.where((part >= 0) & (part <= 1), dot(a + part * (b - a) - through, way), np.nan)
    return t, t


def extent(region: Region) -> float:
    """Size of a region: the diagonal of the box around it, mm."""
    left, low, right, high = _bounds(np.array(region.corners))
    return float(np.hypot(right - left, high - low))


def _bounds(corners: Complexes) -> tuple[float, float, float, float]:
    return (
        float(corners.real.min()),
        float(corners.imag.min()),
        float(corners.real.max()),
        float(corners.imag.max()),
    )


def _hull(corners: Complexes) -> Complexes:
    """Corners of the convex hull, anticlockwise."""
    ring = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(xy(corners))).exterior)[:-1]
    points = ring[:, 0] + 1j * ring[:, 1]
    turned = np.roll(points, -1)
    return np.asarray(points if (points.conjugate() * turned).imag.sum() > 0 else points[::-1])


def _triangles(shape: Any) -> list[Any]:
    made = shapely.constrained_delaunay_triangles(shape)
    return list(made.geoms)
