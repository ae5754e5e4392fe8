"""Slabs into a closed triangle mesh, x = FS, y = BL, z = WL, mm.

All rings of all slabs are laid over one another on one fine grid and cut the side view into cells; a cell is either in
a slab or out of it. Floors are cells that are in one slab and not in its neighbour, walls are edges between a cell
that is in and one that is out. So the surface closes by construction, and every coordinate is a number that single
precision (which is what mesh files hold) carries exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from linkage.handoff.arcs import polygons_of
from linkage.handoff.model import HandoffError, NamedSolid, Slab
from linkage.handoff.stack import stacked

Ints: TypeAlias = NDArray[np.int64]

GRID = 2.0**-10
"""mm. Single precision carries multiples of it exactly up to 16384 mm from the datum."""

FARTHEST = 16_000.0
GROWTH = 0.002
"""mm by which regions are grown first, so that moving onto the grid cannot bring the mesh inside them."""


@dataclass(frozen=True)
class Mesh:
    """Closed surface, triangles seen anticlockwise from outside. ``vertices`` (n, 3) mm in single precision."""

    name: str
    vertices: NDArray[np.float32]
    faces: Ints

    @property
    def volume(self) -> float:
        """Enclosed volume, mm3."""
        return enclosed_volume(self.vertices[self.faces].astype(float))


@dataclass(frozen=True)
class _Cells:
    """The side view cut up. ``edges`` (n, 2) vertices with cell ``left`` on the left, ``right`` = -1 outside."""

    shapes: tuple[Polygon, ...]
    points: NDArray[np.float64]
    edges: Ints
    left: Ints
    right: Ints
    triangles: Ints
    triangle_cell: Ints
    inside: NDArray[np.bool_]


def mesh_of(solid: NamedSolid, tolerance: float = 0.05) -> Mesh:
    """Union of the slabs as one closed mesh that encloses every slab and lies at most ``tolerance`` (mm) outside.

    Checked: every edge belongs to exactly two triangles, the cells cover the slabs, and the volume lies between the
    slabs' and that of the slabs grown by ``tolerance``. Raises ``HandoffError`` otherwise.
    """
    slabs = stacked(solid)
    least = math.fsum(s.region.area * (s.bl_hi - s.bl_lo) for s in slabs)
    # Corners that touch make an edge of four triangles; a hair more growth joins them for good.
    for thinning, growth in ((tolerance, GROWTH), (0.0, GROWTH), (0.0, 2 * GROWTH), (0.0, 3 * GROWTH)):
        grown = _grown(slabs, growth, thinning)
        cells = _cells(grown)
        if not all(_cover(cells, k, g, slabs) for k, g in enumerate(grown)):
            continue
        mesh = _surface(solid.name, grown, cells)
        most = math.fsum(s.region.buffer(GRID).area * (s.bl_hi - s.bl_lo) for s in grown)
        if closed(mesh.faces) and least <= mesh.volume <= most:
            return mesh
    raise HandoffError(f"solid {solid.name!r}: no closed mesh of {least:.3f} mm3 can be made from its slabs")


def enclosed_volume(corners: NDArray[np.float64]) -> float:
    """Volume inside triangles (n, 3 corners, 3), + if they are seen anticlockwise from outside."""
    if not len(corners):
        return 0.0
    # Taken about the middle, not the far datum, or most digits would cancel.
    a, b, c = np.moveaxis(corners - corners.reshape(-1, 3).mean(axis=0), 1, 0)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def closed(faces: Ints) -> bool:
    """True if every edge is met by exactly two triangles, once in either direction: no rim, no seam, no flap."""
    edges = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    size = int(faces.max()) + 1 if len(faces) else 1
    there, back = edges[:, 0] * size + edges[:, 1], edges[:, 1] * size + edges[:, 0]
    once = np.unique(there)
    return bool(len(faces) and len(once) == len(there) and np.array_equal(once, np.unique(back)))


def _grown(slabs: Sequence[Slab], growth: float, thinning: float) -> tuple[Slab, ...]:
    """Slabs that enclose ``slabs`` even on the grid. Where a butt line is rounded, neighbours overlap by that."""
    out = []
    for slab in slabs:
        reach = max(abs(v) for v in (*slab.region.bounds, slab.bl_lo, slab.bl_hi))
        if reach > FARTHEST:
            raise HandoffError(f"slab BL {slab.bl_lo} to {slab.bl_hi} reaches {reach:.0f} mm, limit {FARTHEST:.0f} mm")
        lo, hi = _single_below(slab.bl_lo), -_single_below(-slab.bl_hi)
        out.append(Slab(lo, hi, slab.region))
    rounded = stacked(NamedSolid("grown", (0, 0, 0), tuple(out)))
    return tuple(Slab(s.bl_lo, s.bl_hi, _thinned(s.region, growth, thinning)) for s in rounded)


def _single_below(value: float) -> float:
    """Largest number of single precision that is not above ``value``."""
    single = np.float32(value)
    # Compared as doubles: numpy would otherwise round `value` to single first and find them equal.
    return float(single if float(single) <= value else np.nextafter(single, np.float32(-np.inf)))


def _thinned(region: BaseGeometry, growth: float, tolerance: float) -> BaseGeometry:
    """Fewer vertices where ``tolerance`` allows it, at least ``growth`` and at most ``tolerance`` outside."""
    core = region.buffer(growth, join_style="mitre", mitre_limit=2.0)
    if tolerance > 4 * growth:
        thin = region.buffer(0.5 * tolerance, join_style="mitre", mitre_limit=1.5)
        thin = thin.simplify(0.5 * tolerance - growth)
        if thin.is_valid and thin.covers(core) and region.buffer(tolerance - GRID, quad_segs=16).covers(thin):
            return thin
    return core


def _cover(cells: _Cells, row: int, grown: Slab, slabs: Sequence[Slab]) -> bool:
    """True if the cells of one grown slab surely cover every slab that it stands for."""
    inside = [shape for shape, is_in in zip(cells.shapes, cells.inside[row, :-1], strict=True) if is_in]
    whole = shapely.coverage_union_all(inside)
    return all(whole.covers(s.region) for s in slabs if s.bl_lo < grown.bl_hi and grown.bl_lo < s.bl_hi)


def _surface(name: str, slabs: Sequence[Slab], cells: _Cells) -> Mesh:
    """Floors and walls of all slabs."""
    planes = sorted({bl for s in slabs for bl in (s.bl_lo, s.bl_hi)})
    nowhere = np.zeros((1, cells.inside.shape[1]), dtype=bool)
    row = {s.bl_lo: k for k, s in enumerate(slabs)}
    # One row per gap between planes, an empty one below, above and where no slab is.
    rows = [cells.inside[row[bl]] if bl in row else nowhere[0] for bl in planes[:-1]]
    inside = np.vstack([nowhere, *rows, nowhere])
    size, faces = len(cells.points), []
    for k in range(len(planes)):
        below, above = inside[k], inside[k + 1]
        bottom = cells.triangles[(above & ~below)[cells.triangle_cell]]
        top = cells.triangles[(below & ~above)[cells.triangle_cell]]
        faces += [bottom + k * size, top[:, ::-1] + k * size]
        u, v = cells.edges[above[cells.left] & ~above[cells.right]].T + k * size
        faces += [np.column_stack([u, v + size, v]), np.column_stack([u, u + size, v + size])]
    used, index = np.unique(np.concatenate(faces), return_inverse=True)
    points, level = cells.points[used % size], np.array(planes)[used // size]
    vertices = np.column_stack([points[:, 0], level, points[:, 1]])
    return Mesh(name, vertices.astype(np.float32), index.reshape(-1, 3).astype(np.int64))


def _cells(slabs: Sequence[Slab]) -> _Cells:
    lines = shapely.union_all([s.region.boundary for s in slabs], grid_size=GRID)
    shapes = [shapely.geometry.polygon.orient(p) for p in polygons_of(shapely.polygonize(_parts(lines)))]
    inside = np.zeros((len(slabs), len(shapes) + 1), dtype=bool)  # the last column is the outside, cell -1
    spots = shapely.point_on_surface(shapes)
    for k, slab in enumerate(slabs):
        shapely.prepare(slab.region)
        inside[k, :-1] = shapely.intersects(slab.region, spots)
    return _indexed(shapes, inside)


def _parts(lines: BaseGeometry) -> list[BaseGeometry]:
    return list(getattr(lines, "geoms", [lines]))


def _indexed(shapes: Sequence[Polygon], inside: NDArray[np.bool_]) -> _Cells:
    """Number the vertices, pair the edges, cut the cells into triangles that use all their vertices and no other."""
    from manifold3d import triangulate

    rings = [[shapely.get_coordinates(r)[:-1] for r in (p.exterior, *p.interiors)] for p in shapes]
    flat = [ring for polygon in rings for ring in polygon]
    points, index = np.unique(np.concatenate(flat), axis=0, return_inverse=True)
    index = index.reshape(-1)
    following = np.concatenate([np.roll(i, -1) for i in np.split(index, np.cumsum([len(r) for r in flat])[:-1])])
    edges = np.column_stack([index, following])
    sizes = [sum(len(r) for r in polygon) for polygon in rings]
    left = np.repeat(np.arange(len(shapes)), sizes)
    offsets = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    triangles = [index[np.asarray(triangulate(p)) + o] for p, o in zip(rings, offsets, strict=True)]
    cell = np.repeat(np.arange(len(shapes)), [len(t) for t in triangles])
    return _Cells(tuple(shapes), points, edges, left, _other_side(edges, left), np.concatenate(triangles), cell, inside)


def _other_side(edges: Ints, left: Ints) -> Ints:
    """Cell on the right of each edge: the one that has the same edge backwards; -1 where there is none."""
    size = int(edges.max()) + 1
    there, back = edges[:, 0] * size + edges[:, 1], edges[:, 1] * size + edges[:, 0]
    order = np.argsort(there)
    place = np.minimum(np.searchsorted(there[order], back), len(there) - 1)
    return np.where(there[order][place] == back, left[order][place], -1)
