"""The rings of all slabs laid over one another: a plane map of cells, and chains between the places where rings meet.

Slabs that share a stretch of boundary share a chain. What is done to a chain (thinned out, fitted with arcs) is done to
all of them alike, and walls of neighbouring slabs coincide exactly or are well apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from linkage.handoff.arcs import Points, polygons_of
from linkage.handoff.model import Slab

Ints: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]

GRID = 2.0**-10
"""mm. Single precision carries multiples of it exactly up to 16384 mm from the datum."""


@dataclass(frozen=True)
class PlaneMap:
    """Cells of the plane. ``edges`` (n, 2) vertices, each with cell ``left`` on its left and ``right`` on its right.

    Cells are numbered; -1 is the outside. Every edge between two cells is there twice, once in either direction.
    """

    shapes: tuple[Polygon, ...]
    points: NDArray[np.float64]
    edges: Ints
    left: Ints
    right: Ints
    sizes: Ints
    """Edges of each cell; they follow one another in the order of the cells."""


@dataclass(frozen=True)
class Chain:
    """A stretch of boundary; closed if it ends where it begins. ``left``, ``right``: which slabs lie on that side."""

    points: Points
    left: Flags
    right: Flags

    @property
    def closed(self) -> bool:
        """True for a ring that meets no other."""
        return bool(self.points[0] == self.points[-1])


def chains_of(slabs: Sequence[Slab]) -> list[Chain]:
    """Chains of the slabs' rings on the grid; those that bound no slab are left out."""
    lines = shapely.union_all([s.region.boundary for s in slabs], grid_size=GRID)
    cells = plane_map(lines)
    inside = insides(cells, slabs)
    row = {(u, v): k for k, (u, v) in enumerate(_ends(cells))}
    chains = []
    for line in _lines(shapely.line_merge(lines)):
        points = complexes(line)
        first = (complex(points[0]), complex(points[1]))
        if first in row:
            left, right = cells.left[row[first]], cells.right[row[first]]
        elif first[::-1] in row:
            right, left = cells.left[row[first[::-1]]], cells.right[row[first[::-1]]]
        else:
            continue
        if left != right and np.any(inside[left] != inside[right]):
            chains.append(Chain(points, inside[left], inside[right]))
    return chains


def insides(cells: PlaneMap, slabs: Sequence[Slab]) -> Flags:
    """(cells + 1, slabs): which slabs a cell belongs to. The last row is the outside."""
    flags = np.zeros((len(cells.shapes) + 1, len(slabs)), dtype=bool)
    spots = shapely.point_on_surface(cells.shapes)
    for k, slab in enumerate(slabs):
        shapely.prepare(slab.region)
        flags[:-1, k] = shapely.intersects(slab.region, spots)
    return flags


def insides_by_chains(cells: PlaneMap, chains: Sequence[Chain], moved: Sequence[Points]) -> Flags | None:
    """The same after the chains were moved, told by which chain a cell has beside it; ``None`` if chains contradict."""
    width = len(chains[0].left)
    beside: dict[tuple[complex, complex], Flags] = {}
    for chain, points in zip(chains, moved, strict=True):
        for u, v in zip(points[:-1].tolist(), points[1:].tolist(), strict=True):
            beside[u, v], beside[v, u] = chain.left, chain.right
    flags = np.zeros((len(cells.shapes) + 1, width), dtype=bool)
    known = np.zeros(len(cells.shapes) + 1, dtype=bool)
    for ends, cell in zip(_ends(cells), cells.left, strict=True):
        said = beside.get(ends)
        if said is None or (known[cell] and np.any(flags[cell] != said)):
            return None
        flags[cell], known[cell] = said, True
    return flags


def plane_map(lines: BaseGeometry) -> PlaneMap:
    """Cells that noded lines enclose."""
    shapes = [shapely.geometry.polygon.orient(p) for p in polygons_of(shapely.polygonize(_lines(lines)))]
    rings = [[shapely.get_coordinates(r)[:-1] for r in (p.exterior, *p.interiors)] for p in shapes]
    flat = [ring for polygon in rings for ring in polygon]
    points, index = np.unique(np.concatenate([np.empty((0, 2)), *flat]), axis=0, return_inverse=True)
    index = index.reshape(-1)
    cuts = np.cumsum([len(r) for r in flat])[:-1]
    following = [np.roll(i, -1) for i in np.split(index, cuts)] if flat else [index]
    edges = np.column_stack([index, np.concatenate(following)]).astype(np.int64)
    sizes = np.array([sum(len(r) for r in polygon) for polygon in rings], dtype=np.int64)
    left = np.repeat(np.arange(len(shapes)), sizes)
    return PlaneMap(tuple(shapes), points, edges, left, _other_side(edges, left), sizes)


def crossing(paths: Sequence[Points]) -> bool:
    """True if polylines meet anywhere but at their ends."""
    lines = [LineString(np.column_stack([p.real, p.imag])) for p in paths]
    noded = shapely.node(shapely.MultiLineString(lines))
    pieces = _lines(noded)
    return sum(len(p.coords) - 1 for p in pieces) != sum(len(p) - 1 for p in paths)


def complexes(line: BaseGeometry) -> Points:
    """Coordinates as complex numbers."""
    xy = shapely.get_coordinates(line)
    return np.asarray(xy[:, 0] + 1j * xy[:, 1])


def _ends(cells: PlaneMap) -> list[tuple[complex, complex]]:
    z = cells.points[:, 0] + 1j * cells.points[:, 1]
    return list(zip(z[cells.edges[:, 0]].tolist(), z[cells.edges[:, 1]].tolist(), strict=True))


def _lines(lines: BaseGeometry) -> list[LineString]:
    return [line for line in getattr(lines, "geoms", [lines]) if isinstance(line, LineString)]


def _other_side(edges: Ints, left: Ints) -> Ints:
    """Cell on the right of each edge: the one that has the same edge backwards; -1 where there is none."""
    if not len(edges):
        return left
    size = int(edges.max()) + 1
    there, back = edges[:, 0] * size + edges[:, 1], edges[:, 1] * size + edges[:, 0]
    order = np.argsort(there)
    place = np.minimum(np.searchsorted(there[order], back), len(there) - 1)
    return np.where(there[order][place] == back, left[order][place], -1)
