"""Solids (STL mesh, STEP) cut into butt-line slices, each with the silhouette of what lies between its two butt lines.

Axes of the files: x = FS, y = BL, z = WL. The silhouette of a slice is that of the closed piece between the two planes,
so the stack of slices holds the solid.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.document.bay import BayItem
from linkage.obstacles import step, stl
from linkage.obstacles.model import FURTHEST, Slice, UnusableFileError
from linkage.plane.outer import buffer_outer
from linkage.units import FACTORS

DEFLECTION = 0.05
"""mm between a curved face of a STEP solid and its triangles, either way."""

ROUNDING = 0.01
"""mm by which silhouettes are grown against rounding in cutting and projecting."""

DIGITS = 6
"""Decimals of mm to which places of corners are told apart."""

MOST_TRIANGLES = 300_000
"""More take minutes to cut and project."""


def read_mesh(path: Path, item: BayItem) -> Sequence[Slice]:
    """Slices of an STL mesh. Raises `UnusableFileError` for broken, open or empty meshes and a missing unit."""
    if item.file_unit is None:
        raise UnusableFileError(f"{path.name!r} does not say its unit, as every STL", 'file_unit = "mm" or "in"')
    found = stl.triangles(path) * FACTORS["length"][item.file_unit]
    return _slices(found.reshape(-1, 3), np.arange(3 * len(found)).reshape(-1, 3), item, path.name, ROUNDING)


def read_step(path: Path, item: BayItem) -> Sequence[Slice]:
    """Slices of the solids of a STEP file (extra `cad`), grown by the deflection of its triangles."""
    corners, faces = step.triangles(path, DEFLECTION)
    return _slices(corners, faces, item, path.name, DEFLECTION + ROUNDING)


def _slices(corners: NDArray[Any], faces: NDArray[Any], item: BayItem, name: str, grow: float) -> list[Slice]:
    corners, faces = _joined(corners, faces, name)
    solid = _closed(corners, faces, name)
    lo, hi = float(corners[:, 1].min()), float(corners[:, 1].max())
    cuts = np.linspace(lo, hi, item.slices + 1)
    found = []
    for low, high in pairwise(cuts):
        piece = solid.trim_by_plane((0, 0, 1), low).trim_by_plane((0, 0, -1), -high)
        rings = [np.asarray(r) for r in piece.project().to_polygons()]
        if rings:
            region = shapely.union_all([shapely.make_valid(shapely.Polygon(r)) for r in rings if len(r) > 2])
            found.append(Slice(buffer_outer(region, grow, ROUNDING), low - grow, high + grow, True))
    return found


def _closed(corners: NDArray[Any], faces: NDArray[Any], name: str) -> Any:
    """The mesh as a closed solid with BL as third axis."""
    from manifold3d import Error, Manifold, Mesh64

    turned = corners[:, [0, 2, 1]]  # FS, WL, BL: swapping two axes turns the faces inside out
    first = turned[faces[:, ::-1]] - turned.mean(axis=0)
    outward = faces[:, ::-1] if np.linalg.det(first).sum() >= 0 else faces  # some programs write all faces inside out
    solid = Manifold(Mesh64(np.ascontiguousarray(turned), np.ascontiguousarray(outward.astype(np.uint64))))
    if solid.status() != Error.NoError or solid.is_empty():
        raise UnusableFileError(f"{name!r} is no closed mesh ({solid.status().name})", "a closed surface without gaps")
    if abs(solid.volume()) < 1e-6:
        raise UnusableFileError(f"{name!r} has no volume", "a solid")
    return solid


def _joined(corners: NDArray[Any], faces: NDArray[Any], name: str) -> tuple[NDArray[Any], NDArray[Any]]:
    """Corners of triangles that lie in the same place as one; triangles that are only a line then are none."""
    far = ~(np.abs(corners) <= FURTHEST)  # not a number is not within either
    if far.any():
        where = corners[far.any(axis=1)][0]
        shown = ", ".join(f"{axis} {v:g}" for axis, v in zip(("FS", "BL", "WL"), where, strict=True))
        raise UnusableFileError(f"{name!r} reaches to {shown} mm", f"numbers within {FURTHEST:g} mm of the datum")
    if len(faces) > MOST_TRIANGLES:
        raise UnusableFileError(f"{name!r} has {len(faces)} triangles", f"at most {MOST_TRIANGLES}, so a coarser mesh")
    places, index = np.unique(np.round(corners, DIGITS) + 0.0, axis=0, return_inverse=True)
    joined = np.asarray(index).reshape(-1)[faces]
    a, b, c = joined.T
    return places, joined[(a != b) & (b != c) & (c != a)]
