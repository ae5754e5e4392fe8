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
from linkage.obstacles.model import Slice, UnusableFileError
from linkage.plane.outer import buffer_outer
from linkage.units import FACTORS

DEFLECTION = 0.05
"""mm between a curved face of a STEP solid and its triangles, either way."""

ROUNDING = 0.01
"""mm by which silhouettes are grown against rounding in cutting and projecting."""


def read_mesh(path: Path, item: BayItem) -> Sequence[Slice]:
    """Slices of an STL mesh. Raises `UnusableFileError` for broken, open or empty meshes and a missing unit."""
    import trimesh

    if item.file_unit is None:
        raise UnusableFileError(f"{path.name!r} does not say its unit, as every STL", 'file_unit = "mm" or "in"')
    try:
        mesh = trimesh.load_mesh(path, process=True)
        corners, faces = np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces)
    except Exception as err:  # the reader raises whatever its parser meets
        raise UnusableFileError(f"{path.name!r} is not readable as STL ({err})", "an intact STL file") from err
    return _slices(corners * FACTORS["length"][item.file_unit], faces, item, path.name, ROUNDING)


def read_step(path: Path, item: BayItem) -> Sequence[Slice]:
    """Slices of the solids of a STEP file (extra `cad`), grown by the deflection of its triangles."""
    corners, faces = _tessellated(path)
    return _slices(corners, faces, item, path.name, DEFLECTION + ROUNDING)


def _slices(corners: NDArray[Any], faces: NDArray[Any], item: BayItem, name: str, grow: float) -> list[Slice]:
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
    solid = Manifold(Mesh64(np.ascontiguousarray(turned), np.ascontiguousarray(faces[:, ::-1].astype(np.uint64))))
    if solid.status() != Error.NoError or solid.is_empty():
        raise UnusableFileError(f"{name!r} is no closed mesh ({solid.status().name})", "a closed surface without gaps")
    if abs(solid.volume()) < 1e-6:
        raise UnusableFileError(f"{name!r} has no volume", "a solid")
    return solid


def _tessellated(path: Path) -> tuple[NDArray[Any], NDArray[Any]]:
    """Corners in mm and triangles of every solid in a STEP file."""
    try:
        from OCP.IFSelect import IFSelect_RetDone
        from OCP.STEPControl import STEPControl_Reader
    except ImportError as err:
        raise UnusableFileError(f"{path.name!r} needs the extra 'cad'", "pip install 'noseleg[cad]'") from err
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone or reader.TransferRoots() == 0:
        raise UnusableFileError(f"{path.name!r} is not readable as STEP", "an intact STEP file")
    shape = reader.OneShape()
    BRepMesh_IncrementalMesh(shape, DEFLECTION, False, 0.2, False)
    corners, faces = _triangles(shape)
    if not len(faces):
        raise UnusableFileError(f"{path.name!r} has no faces", "at least one solid")
    joined, index = np.unique(np.round(corners, 6), axis=0, return_inverse=True)
    return joined, np.asarray(index).reshape(-1)[faces]


def _triangles(shape: Any) -> tuple[NDArray[Any], NDArray[Any]]:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_FACE, TopAbs_REVERSED
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    corners: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    walk = TopExp_Explorer(shape, TopAbs_FACE)
    while walk.More():
        face = TopoDS.Face(walk.Current()) if hasattr(TopoDS, "Face") else TopoDS.Face_s(walk.Current())
        place = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, place)
        if mesh is not None:
            start, move = len(corners), place.Transformation()
            for i in range(1, mesh.NbNodes() + 1):
                node = mesh.Node(i).Transformed(move)
                corners.append((node.X(), node.Y(), node.Z()))
            for i in range(1, mesh.NbTriangles() + 1):
                a, b, c = (n - 1 + start for n in mesh.Triangle(i).Get())
                faces.append((a, c, b) if face.Orientation() == TopAbs_REVERSED else (a, b, c))
        walk.Next()
    return np.array(corners), np.array(faces)
