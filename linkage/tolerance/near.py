"""Distance of moving cores from a fixed shape or from other moving cores, for whole families at once.

As long as cores move by less than their drawn distance they cannot touch, and only edges that are near enough in the
drawn place can become the nearest: those alone are measured, exactly, in plain arrays. Where cores may touch, the
general signed gap of `linkage.plane` is asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from linkage.mechanism.model import Complexes, Floats
from linkage.plane.contact import signed
from linkage.plane.outer import QUIET
from linkage.plane.outlines import shapes_of
from linkage.plane.vectors import dot, square

ROUNDING = 1e-6
"""mm. Far above the rounding of a distance; keeps the nearest edge itself among those measured."""

Edges = tuple[Complexes, Complexes]


@dataclass(frozen=True)
class Cores:
    """``points`` (n, m) of as many cores, ``drawn`` (m,): one that is near all of them."""

    points: Complexes
    drawn: Complexes
    closed: bool

    @property
    def moved(self) -> Floats:
        """Most that any point of each core (n,) is off its drawn place, mm; NaN where a core is."""
        return np.asarray(np.abs(self.points - self.drawn).max(axis=1))

    def part(self, rows: Any) -> Cores:
        return Cores(self.points[rows], self.drawn, self.closed)

    def shapes(self) -> Any:
        return shapes_of(self.points, self.closed)

    @property
    def edges(self) -> Edges:
        return _chain(self.points, self.closed)

    def at_rest(self) -> Cores:
        """The drawn one alone."""
        return Cores(self.drawn[None, :], self.drawn, self.closed)


@dataclass(frozen=True)
class Still:
    """A shape that stands still, shapely in the side view."""

    shape: Any
    closed: bool = True

    @property
    def moved(self) -> float:
        return 0.0

    def part(self, rows: Any) -> Still:
        return self

    def shapes(self) -> Any:
        return np.array([self.shape], dtype=object)

    @cached_property
    def edges(self) -> Edges:
        return edges_of(self.shape)

    def at_rest(self) -> Still:
        return self


def signed_gaps(one: Cores, other: Cores | Still, radius: float, depth: bool = True) -> Floats:
    """Signed gap (n,) of cores to a shape or to as many other cores, grown by ``radius`` in all, mm. NaN where a core
    is. Without ``depth`` those that overlap lie at minus the radius or above, however deep they are in."""
    moved = one.moved + other.moved
    out = np.full(len(moved), np.nan)
    fine = np.isfinite(moved)
    clear = float(shapely.distance(one.at_rest().shapes(), other.at_rest().shapes())[0])
    if not depth:
        over = fine & (moved < radius - clear)  # still over one another
        out[over] = -radius
        fine &= ~over
    apart = fine & (moved < clear)
    if apart.any():
        reach = clear + 2.0 * float(moved[apart].max())
        out[apart] = _apart(one.part(apart), other.part(apart), reach) - radius
    rest = fine & ~apart
    if rest.any():
        out[rest] = general_gaps(one.part(rest), other.part(rest), radius, depth)
    return out


@QUIET
def general_gaps(one: Cores, other: Cores | Still, radius: float, depth: bool = True) -> Floats:
    """The same of any cores, near a drawn one or not."""
    if not depth:
        return np.asarray(shapely.distance(one.shapes(), other.shapes()) - radius)
    # depth counts only in what has an area
    if other.closed or not one.closed:
        return signed(one.shapes(), other.shapes(), radius)
    return signed(other.shapes(), one.shapes(), radius)


def _apart(one: Cores, other: Cores | Still, reach: float) -> Floats:
    """Distance of cores that do not touch: of the edges of either within ``reach`` of the other in the drawn place."""
    a, b = one.at_rest().edges
    c, d = (np.atleast_2d(z) for z in other.at_rest().edges)
    near = _edge_to_edge(a[:, :, None], b[:, :, None], c[:, None, :], d[:, None, :])[0] <= reach + ROUNDING
    best = np.full(len(one.points), np.inf)
    a, b = one.edges
    c, d = other.edges
    for i, j in zip(*np.nonzero(near), strict=True):
        best = np.minimum(best, _edge_to_edge(a[:, i], b[:, i], c[..., j], d[..., j]))
    return best


def edges_of(shape: Any) -> Edges:
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


def _chain(core: Complexes, closed: bool) -> Edges:
    if core.shape[1] == 1:
        return core, core
    if closed:
        return core, np.roll(core, -1, axis=1)
    return core[:, :-1], core[:, 1:]


def _edge_to_edge(a: Any, b: Any, c: Any, d: Any) -> Floats:
    """Distance of two edges that do not cross: at one of the four ends. The whole distance if one is a point."""
    found = _to_edge(a, c, d)
    if np.any(a != b):
        found = np.minimum(np.minimum(found, _to_edge(b, c, d)), np.minimum(_to_edge(c, a, b), _to_edge(d, a, b)))
    return np.asarray(found)


def _to_edge(p: Any, a: Any, b: Any) -> Any:
    """Distance of points from edges."""
    way = b - a
    length = square(way)
    along = np.clip(dot(p - a, way) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    return np.abs(p - a - along * way)
