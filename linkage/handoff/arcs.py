"""Lines and true arcs around a region, never inside it.

The region is grown by a little, and runs of the grown boundary are replaced by a line or an arc that strays from it by
less than that little: the result then lies outside the region. Nothing rests on that argument alone: every fit is
flattened once towards the material and once away from it, and must cover the region and stay within the tolerance.
A fit that fails is repeated more finely, at last with the straight edges themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from linkage.handoff.model import HandoffError

ArcPath: TypeAlias = tuple[tuple[complex, float], ...]
"""Closed path: (vertex, bulge of the piece that leaves it). Bulge = tan(sweep / 4), + = anticlockwise, 0 = straight."""

Points: TypeAlias = NDArray[np.complex128]

# Shares of the tolerance. STRAY < GROW keeps the fit outside; a cut mitre reaches hypot(MITRE, 1) * GROW = 1.8 * GROW,
# and with STRAY and FLATTEN on top that stays below 1.
GROW, STRAY, MITRE = 0.35, 0.33, 1.5
FLATTEN = 0.01
MAX_HALF_SWEEP = math.radians(80.0)


@dataclass(frozen=True)
class ArcPolygon:
    """Outer path anticlockwise, holes clockwise: the material is always on the left."""

    outer: ArcPath
    holes: tuple[ArcPath, ...] = ()

    @property
    def area(self) -> float:
        """Exact area, mm2 (holes taken off)."""
        return sum(path_area(path) for path in (self.outer, *self.holes))


def fit_region(region: BaseGeometry, tolerance: float = 0.05) -> tuple[ArcPolygon, ...]:
    """Fit a Polygon or MultiPolygon, mm.

    Guarantee, checked before returning: the result covers ``region`` and no point of it is farther than ``tolerance``
    from it. Holes shrink, those narrower than the tolerance close. Raises ``HandoffError`` if that cannot be had.
    """
    if tolerance <= 0 or region.is_empty or not region.is_valid:
        raise HandoffError(f"cannot fit arcs to {shapely.is_valid_reason(region)}, tolerance {tolerance} mm")
    grown = region.buffer(GROW * tolerance, join_style="mitre", mitre_limit=MITRE)
    # Edges shorter than this are nothing to a CAD program but trouble.
    grown = shapely.remove_repeated_points(grown, 1e-3 * tolerance)
    for stray in (STRAY * tolerance, 0.3 * STRAY * tolerance, 0.05 * STRAY * tolerance, 0.0):
        fit = tuple(_fit_polygon(polygon, stray, tolerance) for polygon in polygons_of(grown))
        if certified(fit, region, tolerance):
            return fit
    raise HandoffError(f"no fit within {tolerance} mm stays outside the region at {region.bounds}")


def certified(fit: Sequence[ArcPolygon], region: BaseGeometry, tolerance: float) -> bool:
    """True if ``fit`` surely covers ``region``, surely stays within ``tolerance`` of it, and no piece meets another."""
    step = FLATTEN * tolerance
    small = [flat_polygon(piece, step, outside=False) for piece in fit]
    large = [flat_polygon(piece, step, outside=True) for piece in fit]
    if not all(flat.is_valid for flat in (*small, *large)):
        return False
    if any(a.intersects(b) for i, a in enumerate(large) for b in large[:i]):
        return False
    # GEOS round joins lie inside the true offset, so this limit is on the safe side.
    limit = region.buffer(tolerance, quad_segs=16)
    return bool(MultiPolygon(small).covers(region) and limit.covers(MultiPolygon(large)))


def polygons_of(region: BaseGeometry) -> list[Polygon]:
    """The polygons of a Polygon or MultiPolygon, without empty ones."""
    parts = list(getattr(region, "geoms", [region]))
    return [p for p in parts if isinstance(p, Polygon) and not p.is_empty]


def path_area(path: ArcPath) -> float:
    """Exact signed area of a closed path, + = anticlockwise."""
    total = 0.0
    for (a, bulge), (b, _) in zip(path, (*path[1:], path[0]), strict=True):
        total += (a.conjugate() * b).imag / 2
        if bulge:
            sweep = 4 * math.atan(bulge)
            radius = abs(b - a) / (2 * math.sin(sweep / 2))
            total += radius * radius * (sweep - math.sin(sweep)) / 2
    return total


def arc_centre(a: complex, b: complex, bulge: float) -> tuple[complex, float]:
    """Centre and signed radius (+ = anticlockwise) of the arc from ``a`` to ``b``."""
    sweep = 4 * math.atan(bulge)
    radius = abs(b - a) / (2 * math.sin(sweep / 2))
    return (a + b) / 2 + 0.5j * (b - a) / math.tan(sweep / 2), radius


def flat_polygon(piece: ArcPolygon, step: float, *, outside: bool) -> Polygon:
    """Straight edges for ``piece``, strays at most ``step``: containing it if ``outside``, else contained in it."""
    rings = [flatten(path, step, outside=outside) for path in (piece.outer, *piece.holes)]
    # A loop thinner than the step may be left with two points. Seen from the safe side it never is: an arc that bulges
    # towards the safe side keeps its tangents.
    coords = [np.column_stack([r.real, r.imag]) if len(r) > 2 else None for r in rings]
    if coords[0] is None:
        return Polygon()
    return Polygon(coords[0], [c for c in coords[1:] if c is not None])


def flatten(path: ArcPath, step: float, *, outside: bool) -> Points:
    """Vertices of straight edges that stray at most ``step`` from ``path``, all on one side of it.

    The material is on the left of the path. An anticlockwise arc bulges out of the material, so its chords lie in the
    material and its tangents outside; for a clockwise arc it is the other way round.
    """
    out: list[Points] = []
    for (a, bulge), (b, _) in zip(path, (*path[1:], path[0]), strict=True):
        out.append(np.array([a]))
        if bulge:
            out.append(_flat_arc(a, b, bulge, step, tangents=(bulge > 0) == outside))
    return np.concatenate(out)


def _flat_arc(a: complex, b: complex, bulge: float, step: float, *, tangents: bool) -> Points:
    """Inner vertices of a flattened arc, both ends left out."""
    centre, radius = arc_centre(a, b, bulge)
    sweep = 4 * math.atan(bulge)
    count = max(1, math.ceil(abs(sweep) / math.sqrt(8 * step / abs(radius))))
    h = sweep / count
    if tangents:
        turns = (np.arange(count) + 0.5) * h
        return np.asarray(centre + (a - centre) / math.cos(h / 2) * np.exp(1j * turns))
    return np.asarray(centre + (a - centre) * np.exp(1j * np.arange(1, count) * h))


def _fit_polygon(polygon: Polygon, stray: float, tolerance: float) -> ArcPolygon:
    polygon = shapely.geometry.polygon.orient(polygon)
    # A hole that fits into a circle of the tolerance has no point farther than that from the material: fill it.
    holes = [hole for hole in polygon.interiors if shapely.minimum_bounding_radius(hole) > tolerance / 2]
    rings = [ring_points(ring) for ring in (polygon.exterior, *holes)]
    paths = [fit_ring(points, stray) if stray else tuple((complex(p), 0.0) for p in points) for points in rings]
    return ArcPolygon(paths[0], tuple(paths[1:]))


def ring_points(ring: BaseGeometry) -> Points:
    """Vertices of a ring without the repeated last one."""
    xy = shapely.get_coordinates(ring)[:-1]
    return np.asarray(xy[:, 0] + 1j * xy[:, 1])


def fit_ring(points: Points, stray: float) -> ArcPath:
    """Replace runs of a closed ring by lines and arcs that stray at most ``stray`` from it to either side."""
    edges = np.diff(np.append(points, points[0]))
    turn = np.abs(np.angle(edges / np.roll(edges, 1)))
    start = int(np.argmax(turn))
    return fit_open(np.append(np.roll(points, -start), points[start]), stray)


def fit_open(points: Points, stray: float) -> ArcPath:
    """The same from the first point to the last, both kept. The last one is not repeated in the result."""
    out: list[tuple[complex, float]] = []
    i = 0
    while i < len(points) - 1:
        j, bulge = _longest_run(points, i, stray)
        out.append((complex(points[i]), bulge))
        i = j
    return tuple(out)


def _longest_run(points: Points, i: int, stray: float) -> tuple[int, float]:
    """Last vertex that one line or arc from vertex ``i`` can reach, and its bulge."""
    good, bulge, bad, reach = i + 1, 0.0, len(points), 2
    while good + 1 < bad:
        trial = min(i + reach, (good + bad) // 2)
        found = _piece(points[i : trial + 1], stray)
        if found is None:
            bad = trial
        else:
            good, bulge = trial, found
        reach *= 2
    return good, bulge


def _piece(run: Points, stray: float) -> float | None:
    """Bulge of one piece from the first to the last point of ``run`` that strays at most ``stray``, else ``None``."""
    a, b = run[0], run[-1]
    chord = abs(b - a)
    if chord == 0.0:
        return None
    # Middles of edges stand in for the edges: a long edge must not be bent into an arc through its ends.
    probes = np.concatenate([run[1:-1], (run[1:] + run[:-1]) / 2])
    # Close to an end a point says nothing about the curvature.
    probes = probes[np.minimum(np.abs(probes - a), np.abs(probes - b)) > 2 * stray]
    if not len(probes):
        return 0.0 if _strays_within(run, 0.0, stray) else None
    to, fro = probes - a, b - probes
    half = np.angle(fro / to)
    # Moving a point by `stray` square to the arc changes the angle under which it sees the chord by about this much.
    room = stray * chord / np.abs(to * fro)
    lo, hi = float(np.max(half - room)), float(np.min(half + room))
    if lo > hi or max(-lo, hi) > MAX_HALF_SWEEP or not np.all(np.abs(half) < math.pi / 2):
        return None
    bulge = 0.0 if lo <= 0 <= hi else math.tan((lo + hi) / 4)
    return bulge if _strays_within(run, bulge, stray) else None


def _strays_within(run: Points, bulge: float, stray: float) -> bool:
    a, b = complex(run[0]), complex(run[-1])
    if bulge == 0.0:
        local = (run - a) / (b - a) * abs(b - a)
        return bool(np.all(np.abs(local.imag) <= stray) and np.all(np.diff(local.real) > -stray))
    centre, radius = arc_centre(a, b, bulge)
    turned = np.angle((run - centre) / (a - centre)) * math.copysign(1, bulge)
    if not (np.all(np.diff(turned) * abs(radius) > -stray) and abs(turned[-1] - 4 * math.atan(abs(bulge))) < 1e-6):
        return False
    edge = np.diff(run)
    share = -((run[:-1] - centre) * edge.conjugate()).real / np.abs(edge) ** 2
    nearest = run[:-1] + np.clip(share, 0, 1) * edge
    reach = np.abs(np.concatenate([run, nearest]) - centre) - abs(radius)
    return bool(np.all(np.abs(reach) <= stray))
