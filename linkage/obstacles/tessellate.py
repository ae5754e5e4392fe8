"""STEP file -> triangles, run as a process of its own: ``python tessellate.py FILE DEFLECTION RESULT SECONDS``.

A broken file can take the CAD kernel down, keep it busy for ever, and make it write on the terminal. So it works where
that harms nobody, and this file uses nothing else of the package. ``RESULT`` is an ``.npz`` with corners (n, 3) in mm
and triangles (m, 3) as indices, or, where the kernel can say so, with the text ``fault`` instead. ``SECONDS`` of
processor time are allowed for the work, beside those for loading the kernel.
"""

from __future__ import annotations

import math
import sys
import time
from typing import Any

import numpy as np
from numpy.typing import NDArray


def main(path: str, deflection: float, result: str, seconds: float) -> None:
    import OCP.BRepMesh
    import OCP.STEPControl  # noqa: F401

    _limit(seconds)
    fault, corners, faces = _tessellated(path, deflection)
    if fault:
        np.savez(result, fault=fault)
    else:
        np.savez(result, corners=corners, faces=faces)


def _limit(seconds: float) -> None:
    """From here on; where the system has no such limit, the clock of who started this ends it."""
    try:
        import resource
    except ImportError:
        return
    until = math.ceil(time.process_time() + seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (until, until + 1))


def _tessellated(path: str, deflection: float) -> tuple[str, NDArray[Any], NDArray[Any]]:
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    nothing = np.zeros((0, 3))
    reader = STEPControl_Reader()
    if reader.ReadFile(path) != IFSelect_RetDone:
        return "is not readable as STEP", nothing, nothing
    wanted = reader.NbRootsForTransfer()
    done = reader.TransferRoots()
    if done == 0 or done < wanted:
        return f"is readable as STEP in parts only: {done} of its {wanted} roots", nothing, nothing
    shape = reader.OneShape()
    BRepMesh_IncrementalMesh(shape, deflection, False, 0.2, False)
    corners, faces = _triangles(shape)
    return "" if len(faces) else "has no faces", corners, faces


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
    return np.array(corners).reshape(-1, 3), np.array(faces, dtype=np.int64).reshape(-1, 3)


if __name__ == "__main__":
    main(sys.argv[1], float(sys.argv[2]), sys.argv[3], float(sys.argv[4]))
