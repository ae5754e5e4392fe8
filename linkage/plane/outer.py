"""Regions that are never smaller than the truth: growing and joining, each with a certificate.

The geometry engine rounds arcs inwards, drops shallow concavities before it grows a shape and has been seen to lose
thin members in a union. So nothing it returns is believed: it is asked for a little more than needed and the answer is
proved with exact predicates. The proof used throughout: if one point of a connected piece lies in the region and no
point of the region's boundary comes within `reach` of the piece, then the piece grown by `reach` lies in the region,
because the straight way from the piece to any point within `reach` of it never meets the boundary.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.errors import MechanismError

Geometry = Any
"""A shapely geometry (the library carries no types)."""

SIMPLIFY_SHARE = 0.04
ARC_SHARE = 0.15
"""How much of a tolerance goes into dropping vertices, and into flattening arcs."""

ROUNDING = 1e-6
"""mm. Far above the rounding of coordinates up to 1e6 mm (1e-10 mm), far below any tolerance asked for."""

PROOF_MARGIN = 1e-7
"""mm. What a certificate asks on top, so that the rounding of its own distances cannot deceive it."""

GRIDS = (0.0, 1e-4, 1e-3)
"""mm. Coordinate grids of the union, tried in turn; 0 is full precision."""


QUIET = np.errstate(all="ignore")
"""The engine divides by zero on purpose, and numpy would report that as if it were ours. Decorates what calls it."""


class EnvelopeError(MechanismError, ArithmeticError):
    """A swept region or a gap could not be computed with the guarantee that was asked for."""


def is_certified(region: Geometry, pieces: NDArray[Any], reach: float) -> bool:
    """True when every piece grown by a disc of `reach` (mm) is proved to lie in `region`."""
    parts = shapely.get_parts(pieces)
    parts = parts[~shapely.is_empty(parts)]
    if parts.size == 0:
        return True
    boundary = shapely.boundary(region)
    shapely.prepare([region, boundary])
    coordinates, owner = shapely.get_coordinates(parts, return_index=True)
    first = coordinates[np.searchsorted(owner, np.arange(parts.size))]
    if not np.all(shapely.covers(region, shapely.points(first))):
        return False
    return not np.any(shapely.dwithin(boundary, parts, reach + PROOF_MARGIN))


def quarter_segments(radius: float, sag: float) -> int:
    """Segments per quarter circle with which the engine's arcs, made big enough, exceed `radius` by at most `sag`."""
    half = math.acos(radius / (radius + sag))
    return max(2, math.ceil(1.5 * math.pi / 4 / half))


@QUIET
def buffer_outer(shape: Geometry, radius: float, tol: float) -> Geometry:
    """Shape grown by a disc of `radius`, never smaller than the truth.

    `shape` is any shapely geometry, lengths in mm. Guaranteed: every point within `radius` of `shape` is in the result
    (certified, else `EnvelopeError`). Aimed at and checked at the boundary's vertices and mid-points, not proved: no
    point of the result is farther than `radius + tol` from `shape`.
    """
    if radius <= 0.0 or shapely.is_empty(shape):
        return shape
    pieces = np.array([shape], dtype=object)
    grown = _grow(shape, pieces, radius, radius, tol)
    if grown is None:
        raise EnvelopeError(f"a shape grown by {radius:g} mm cannot be certified (bounds {shape.bounds})")
    return grown


def _grow(shape: Geometry, pieces: NDArray[Any], reach: float, radius: float, tol: float) -> Geometry | None:
    """Shape grown by at least `radius`, certified to hold all `pieces` grown by `reach`; None when no way succeeds."""
    segments = quarter_segments(radius, ARC_SHARE * tol)
    stretch = 1.0 / math.cos(1.5 * math.pi / (4 * segments))
    # The engine also drops curve vertices nearer than 1e-4 radius to the last one: the second helping allows for it.
    for extra in (min(1e-4, 0.05 * tol), 0.05 * tol + 3e-4 * radius):
        size = (radius + extra) * stretch
        grown = shapely.buffer(shape, size, quad_segs=segments)
        if not _is_tight(grown, shape, radius, tol):
            grown = _grow_by_edges(shape, size, segments)
        if is_certified(grown, pieces, reach):
            return grown
        grown = _without_false_holes(grown, shape, radius)
        if is_certified(grown, pieces, reach):
            return grown
    return None


def _without_false_holes(grown: Geometry, shape: Geometry, radius: float) -> Geometry:
    """The engine sometimes leaves specks of holes well inside a grown shape. Filling a hole is always safe."""
    shapely.prepare(shape)

    def is_false(ring: Geometry) -> bool:
        return bool(np.all(shapely.dwithin(shape, shapely.points(shapely.get_coordinates(ring)), radius)))

    parts = [
        shapely.Polygon(part.exterior, [ring for ring in part.interiors if not is_false(ring)])
        for part in shapely.get_parts(grown)
    ]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _is_tight(grown: Geometry, shape: Geometry, radius: float, tol: float) -> bool:
    """Boundary of the grown shape within `radius + tol` of the shape, as far as its long edges tell?

    The engine drops concavities up to 0.01 radius deep. The curve over a dropped one is a straight edge, and exceeds by
    `tol` only if longer than sqrt(8 radius tol), of which the half may be hidden. Arcs have shorter edges.
    """
    if 0.03 * radius <= 0.3 * tol:
        return True
    ring, owner = shapely.get_coordinates(shapely.get_parts(shapely.boundary(grown)), return_index=True)
    start, end = ring[:-1], ring[1:]
    long = (owner[1:] == owner[:-1]) & (np.hypot(*(end - start).T) > 0.5 * math.sqrt(8 * radius * tol))
    places = np.concatenate([start[long], end[long], (start + end)[long] / 2])
    shapely.prepare(shape)
    return bool(np.all(shapely.dwithin(shape, shapely.points(places), radius + tol)))


def _grow_by_edges(shape: Geometry, size: float, segments: int) -> Geometry:
    """The slow way: every edge grown by itself. Nothing for the engine to simplify, so no excess from that."""
    parts = shapely.get_parts(shape)
    rings = shapely.get_parts(np.where(shapely.get_dimensions(parts) == 2, shapely.boundary(parts), parts))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    joined = owner[1:] == owner[:-1]
    edges = shapely.linestrings(np.stack([points[:-1][joined], points[1:][joined]], axis=1))
    lone = shapely.points(points[np.bincount(owner)[owner] == 1])
    grown = shapely.buffer(np.concatenate([edges, lone]), size, quad_segs=segments)
    return shapely.union_all(np.concatenate([grown, parts]))


@QUIET
def union_outer(shapes: Sequence[Geometry] | NDArray[Any]) -> Geometry:
    """Union that is proved to hold every member whole.

    Joined at full precision and grown by 1e-6 mm, so that the proof does not hang on rounding. If the certificate finds
    a loss, joined on a coordinate grid of 1e-4 and then 1e-3 mm and grown by twice the grid more; if that fails too,
    `EnvelopeError`.
    """
    members = np.asarray([s for s in shapes if not shapely.is_empty(s)], dtype=object)
    if members.size == 0:
        return shapely.Polygon()
    for grid in GRIDS:
        try:
            joined = shapely.union_all(members, grid_size=grid or None)
        except shapely.GEOSException:
            continue
        joined = shapely.buffer(joined, ROUNDING + 2 * grid, join_style="mitre")
        shapely.prepare(joined)
        if np.all(shapely.covers(joined, members)):
            return joined
    raise EnvelopeError(f"the union of {members.size} shapes loses area on every grid up to {GRIDS[-1]:g} mm")


@QUIET
def cover_outer(
    pieces: Sequence[Geometry] | NDArray[Any], reach: float, tol: float, fewer: NDArray[Any] | None = None
) -> Geometry:
    """Union of pieces (polygons, lines, points), grown by a disc of `reach`, never smaller than the truth (certified).

    Lengths in mm. The result exceeds the truth by about `tol` at most; it needs some excess, so `tol > 0`. `fewer`
    may be a cheaper set of pieces with nearly the same union: it is tried first, the certificate is about `pieces`.
    """
    members = _with_points(shapely.get_parts(np.asarray(pieces, dtype=object)))
    drop = SIMPLIFY_SHARE * tol
    for used, grid in _attempts(members, fewer, drop):
        try:
            joined = shapely.simplify(_joined(used, grid), drop)
        except shapely.GEOSException:  # the engine fails on some sets at full precision; the next way may not
            continue
        grown = _grow(joined, members, reach, reach + drop + 2 * grid, tol)
        if grown is not None:
            return grown
    low, high = shapely.total_bounds(members)[:2], shapely.total_bounds(members)[2:]
    raise EnvelopeError(f"the sweep of {members.size} pieces between {low} and {high} mm cannot be certified")


def _with_points(members: NDArray[Any]) -> NDArray[Any]:
    """Lines without length as points: the engine grows such a line to nothing. Half the proof's margin is allowed."""
    short = (shapely.get_dimensions(members) == 1) & (shapely.length(members) <= PROOF_MARGIN / 2)
    return np.where(short, shapely.centroid(members), members) if short.any() else members


def _attempts(members: NDArray[Any], fewer: NDArray[Any] | None, margin: float) -> Iterator[tuple[NDArray[Any], float]]:
    """What to join and on which grid, the cheapest first."""
    if fewer is not None:
        yield _with_points(fewer), 0.0
    yield members, 0.0
    # The engine loses needles, but not what overlaps its neighbours well.
    swollen = np.asarray(shapely.buffer(members, margin, quad_segs=2, join_style="mitre"))
    for grid in GRIDS:
        yield swollen, grid


def _joined(members: NDArray[Any], grid: float) -> Geometry:
    """One geometry of polygons, lines and points. What lies within the polygons adds nothing. A single line stays
    whole: noding it where it crosses itself costs dearly."""
    size = shapely.get_dimensions(members)
    area, rest = shapely.union_all(members[size == 2], grid_size=grid or None), members[size < 2]
    if rest.size and not shapely.is_empty(area):
        shapely.prepare(area)
        rest = rest[~shapely.covers(area, rest)]
    lines, points = rest[shapely.get_dimensions(rest) == 1], rest[shapely.get_dimensions(rest) == 0]
    line = lines[0] if lines.size == 1 else shapely.line_merge(shapely.union_all(lines))
    parts = [part for part in (area, line, shapely.union_all(points)) if not shapely.is_empty(part)]
    return parts[0] if len(parts) == 1 else shapely.GeometryCollection(parts)
