"""Outlines: circles, capsules and polygons. Points are complex numbers, lengths in mm."""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray


def xy(points: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Coordinates (..., 2) of complex points (...); the same memory where that can be."""
    return np.ascontiguousarray(points, dtype=np.complex128).view(np.float64).reshape(*points.shape, 2)


def shapes_of(core: ArrayLike, closed: bool) -> NDArray[Any]:
    """Geometries (k,) of cores (k, m): points (m = 1), open chains, or with `closed` filled polygons."""
    points = np.asarray(core, dtype=complex)
    if points.shape[-1] == 1:
        return np.atleast_1d(shapely.points(xy(points[:, 0])))
    made = shapely.polygons(xy(points)) if closed else shapely.linestrings(xy(points))
    return np.atleast_1d(made)


def circle_outer(centre: complex, radius: float, tol: float) -> shapely.Polygon:
    """Regular polygon around a disc: never smaller, its corners at most `tol` outside."""
    corners = max(8, math.ceil(math.pi / math.acos(radius / (radius + tol))))
    # A corner's rounding must not eat into the disc.
    size = radius / math.cos(math.pi / corners) * (1 + 1e-14) + 1e-9
    angles = 2 * math.pi * (np.arange(corners) + 0.5) / corners
    return shapely.Polygon(xy(centre + size * np.exp(1j * angles)))


def capsule(start: complex, end: complex, radius: float, tol: float) -> shapely.Polygon:
    """Polygon around a segment grown by a disc: never smaller, nowhere more than `tol` larger."""
    rounds = [circle_outer(end_point, radius, tol) for end_point in (start, end)]
    return shapely.convex_hull(shapely.union_all(rounds))


def polygon_of(points: ArrayLike) -> shapely.Polygon | str:
    """Polygon through points (m,), or a sentence that says why they are no simple outline with an area."""
    ring = np.asarray(points, dtype=complex).ravel()
    if not np.all(np.isfinite(ring)):
        return f"point {int(np.argmin(np.isfinite(ring))) + 1} is not a finite number"
    if (different := len(set(ring.tolist()))) < 3:
        return f"an outline needs at least 3 different points, found {different}"
    made = shapely.Polygon(xy(ring))
    extent = float(np.ptp(ring.real) + np.ptp(ring.imag))
    if shapely.convex_hull(made).area <= 1e-12 * extent**2:
        return "the outline has no area: all its points lie on one line"
    if not made.is_valid:
        place = re.search(r"\[(\S+) (\S+)\]", shapely.is_valid_reason(made))
        where = "" if place is None else f" at ({float(place[1]):.6g}, {float(place[2]):.6g})"
        return f"the outline crosses or touches itself{where}"
    return made
