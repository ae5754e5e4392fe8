"""Slabs into a closed triangle mesh, x = FS, y = BL, z = WL, mm.

The rings of all slabs cut the side view into cells; a cell is either in a slab or out of it. Floors are cells that are
in one slab and not in its neighbour, walls are edges between a cell that is in and one that is out. So the surface
closes by construction, and every coordinate is a number that single precision, which is what mesh files hold, carries
exactly.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString

from linkage.handoff.arcs import Points
from linkage.handoff.model import HandoffError, NamedSolid, Slab
from linkage.handoff.stack import stacked
from linkage.handoff.web import (
    Chain,
    Flags,
    Ints,
    PlaneMap,
    chains_of,
    complexes,
    crossing,
    insides_by_chains,
    plane_map,
)

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


def mesh_of(solid: NamedSolid, tolerance: float = 0.05) -> Mesh:
    """Union of the slabs as one closed mesh that encloses every slab and lies at most ``tolerance`` (mm) outside.

    Checked: every edge belongs to exactly two triangles, the cells of every slab cover it and stay within the
    tolerance, and the volume is not below the slabs'. Raises ``HandoffError`` otherwise.
    """
    slabs = stacked(solid)
    least = math.fsum(s.region.area * (s.bl_hi - s.bl_lo) for s in slabs)
    rounded = _rounded(slabs)
    for growth, stray in _attempts(tolerance):
        cut = _cut(rounded, growth, stray)
        if cut is None or not _certified(rounded, *cut, max(tolerance, 4 * GROWTH)):
            continue
        mesh = _surface(solid.name, rounded, *cut)
        if closed(mesh.faces) and mesh.volume >= least:
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


def _attempts(tolerance: float) -> Iterator[tuple[float, float]]:
    """Growth of the regions and stray of the thinned chains, mm, coarsest first."""
    if tolerance > 4 * GROWTH:
        yield 0.5 * tolerance, 0.5 * tolerance - GROWTH
        yield 0.5 * tolerance, 0.1 * tolerance
    # Corners that touch make an edge of four triangles; a hair more growth joins them for good.
    for k in (1, 2, 3):
        yield k * GROWTH, 0.0


def _rounded(slabs: Sequence[Slab]) -> tuple[Slab, ...]:
    """Butt lines rounded outward to single precision; where that is not exact, neighbours overlap by so much."""
    out = []
    for slab in slabs:
        reach = max(abs(v) for v in (*slab.region.bounds, slab.bl_lo, slab.bl_hi))
        if reach > FARTHEST:
            raise HandoffError(f"slab BL {slab.bl_lo} to {slab.bl_hi} reaches {reach:.0f} mm, limit {FARTHEST:.0f} mm")
        out.append(Slab(_single_below(slab.bl_lo), -_single_below(-slab.bl_hi), slab.region))
    return stacked(NamedSolid("rounded", (0, 0, 0), tuple(out)))


def _single_below(value: float) -> float:
    """Largest number of single precision that is not above ``value``."""
    single = np.float32(value)
    # Compared as doubles: numpy would otherwise round `value` to single first and find them equal.
    return float(single if float(single) <= value else np.nextafter(single, np.float32(-np.inf)))


def _cut(slabs: Sequence[Slab], growth: float, stray: float) -> tuple[PlaneMap, Flags] | None:
    """Cells of the grown and thinned slabs and which slabs each is in; ``None`` if thinning made chains cross."""
    grown = [Slab(s.bl_lo, s.bl_hi, s.region.buffer(growth, join_style="mitre", mitre_limit=1.5)) for s in slabs]
    chains = chains_of(grown)
    if not chains:
        return None
    moved = [_thinned(chain, stray) for chain in chains]
    if stray and crossing(moved):
        return None
    cells = plane_map(MultiLineString([np.column_stack([p.real, p.imag]) for p in moved]))
    inside = insides_by_chains(cells, chains, moved)
    return None if inside is None else (cells, inside)


def _thinned(chain: Chain, stray: float) -> Points:
    if not stray:
        return chain.points
    line = LineString(np.column_stack([chain.points.real, chain.points.imag]))
    # A ring must stay one, which only this mode sees to.
    return complexes(line.simplify(stray, preserve_topology=True))


def _certified(slabs: Sequence[Slab], cells: PlaneMap, inside: Flags, tolerance: float) -> bool:
    """True if the cells of every slab surely cover it and surely lie within the tolerance."""
    for slab, flags in zip(slabs, inside[:-1].T, strict=True):
        whole = shapely.coverage_union_all([cells.shapes[k] for k in np.flatnonzero(flags)])
        limit = slab.region.buffer(tolerance, quad_segs=16)
        if not (whole.is_valid and whole.covers(slab.region) and limit.covers(whole)):
            return False
    return True


def _surface(name: str, slabs: Sequence[Slab], cells: PlaneMap, inside: Flags) -> Mesh:
    """Floors and walls of all slabs."""
    planes = sorted({bl for s in slabs for bl in (s.bl_lo, s.bl_hi)})
    row = {s.bl_lo: inside[:, k] for k, s in enumerate(slabs)}
    nowhere = np.zeros(len(inside), dtype=bool)
    # One row per gap between planes, an empty one below, above and where no slab is.
    rows = [nowhere, *(row.get(bl, nowhere) for bl in planes[:-1]), nowhere]
    triangles, cell = _triangles(cells)
    size, faces = len(cells.points), []
    for k, (below, above) in enumerate(itertools.pairwise(rows)):
        bottom, top = triangles[(above & ~below)[cell]], triangles[(below & ~above)[cell]]
        faces += [bottom + k * size, top[:, ::-1] + k * size]
        u, v = cells.edges[above[cells.left] & ~above[cells.right]].T + k * size
        faces += [np.column_stack([u, v + size, v]), np.column_stack([u, u + size, v + size])]
    used, index = np.unique(np.concatenate(faces), return_inverse=True)
    points, level = cells.points[used % size], np.array(planes)[used // size]
    vertices = np.column_stack([points[:, 0], level, points[:, 1]])
    return Mesh(name, vertices.astype(np.float32), index.reshape(-1, 3).astype(np.int64))


def _triangles(cells: PlaneMap) -> tuple[Ints, Ints]:
    """Cut each cell into triangles that use all its vertices and no other; with the cell of each triangle."""
    from manifold3d import triangulate

    starts = np.concatenate([[0], np.cumsum(cells.sizes)[:-1]])
    triangles = []
    for shape, start in zip(cells.shapes, starts, strict=True):
        rings = [shapely.get_coordinates(r)[:-1] for r in (shape.exterior, *shape.interiors)]
        triangles.append(cells.edges[np.asarray(triangulate(rings)) + start, 0])
    cell = np.repeat(np.arange(len(triangles)), [len(t) for t in triangles])
    return np.concatenate(triangles), cell
