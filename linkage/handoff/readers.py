"""Reading the package back with other readers than the ones that wrote it. Lengths come back in mm.

Each function raises whatever its reader raises: a file that cannot be read is the caller's finding.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from linkage.files import plainly_named
from linkage.handoff.model import HandoffError
from linkage.handoff.solids import closed, enclosed_volume
from linkage.units import FACTORS

Bounds: TypeAlias = tuple[float, ...]
"""FS, BL, WL low, then the same high; in the side view FS, WL low, then high."""


@dataclass(frozen=True)
class Body:
    """One solid as a reader found it. ``sound`` = closed surface or valid body; ``colour`` where the format has one."""

    name: str
    volume_mm3: float
    bounds_mm: Bounds
    sound: bool
    colour: tuple[int, int, int] | None = None


@dataclass(frozen=True)
class Drawing:
    """One layer of a drawing: unit, what the audit complained about, and the region its closed lines enclose."""

    unit: str
    complaints: tuple[str, ...]
    region: BaseGeometry
    layers: tuple[str, ...]


def read_stl(path: Path) -> tuple[str, Body]:
    """Unit said in the header, and the body, read by the layout of the format itself."""
    data = path.read_bytes()
    count = int(np.frombuffer(data, "<u4", 1, 80)[0])
    if len(data) != 84 + 50 * count or count == 0:
        raise HandoffError(f"{count} triangles need {84 + 50 * count} bytes, the file has {len(data)}")
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    corners = np.frombuffer(data, record, count, 84)["corners"].astype(float)
    said = re.search(rb"UNITS=(\w+)", data[:80])
    return (said.group(1).decode() if said else "not said"), _body("", corners)


def read_stl_elsewhere(path: Path) -> Body:
    """The same by trimesh."""
    import trimesh

    with path.open("rb") as file:
        mesh: Any = trimesh.load(file, file_type="stl", force="mesh")
    bounds = tuple(float(v) for v in mesh.bounds.ravel())
    return Body("", float(mesh.volume), bounds, bool(mesh.is_watertight))


def read_glb(path: Path) -> list[Body]:
    """Solids of the viewer file by trimesh, its metres and Y up turned back."""
    import trimesh

    with path.open("rb") as file:
        scene: Any = trimesh.load(file, file_type="glb", force="scene")
    found = []
    for node in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry]
        x, y, z = trimesh.transform_points(mesh.vertices, transform).T * 1000.0
        corners = np.column_stack([x, -z, y])[mesh.faces]
        found.append(_body(str(geometry), corners, mesh.visual.material.baseColorFactor))
    return found


def read_dxf(path: Path, layer: str) -> Drawing:
    """What the closed lines of ``layer`` enclose (holes taken out), by ezdxf and its own flattening of arcs."""
    from ezdxf.filemanagement import readfile
    from ezdxf.path import make_path

    document: Any = readfile(path)
    audit = document.audit()
    unit = {4: "mm", 1: "in"}.get(document.header.get("$INSUNITS", 0), "not said")
    factor = FACTORS["length"].get(unit, 1.0)
    region: BaseGeometry = Polygon()
    for entity in document.modelspace().query("LWPOLYLINE"):
        if entity.dxf.layer != layer or not entity.closed:
            continue
        points = [(p.x, p.y) for p in make_path(entity).flattening(1e-4 / factor)]
        # Even-odd: a ring within a ring is a hole.
        region = region.symmetric_difference(Polygon(points))
    region = shapely.transform(region, lambda xy: xy * factor)
    complaints = tuple(str(e.message) for e in (*audit.errors, *audit.fixes))
    return Drawing(unit, complaints, region, tuple(row.dxf.name for row in document.layers))


def read_step(path: Path) -> tuple[str, list[Body]]:
    """Unit, and every product with its validity, by the CAD library's own reader."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    from linkage.handoff.step import quiet

    with quiet(), plainly_named(path) as named:
        document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        if reader.ReadFile(str(named)) != IFSelect_ReturnStatus.IFSelect_RetDone or not reader.Transfer(document):
            raise HandoffError("the CAD library cannot read it")
        bodies = [_step_body(document, label) for label in _free_shapes(document)]
    return _step_unit(path), bodies


def read_table(path: Path) -> tuple[list[str], list[list[str]]]:
    """Head and rows of a CSV."""
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    if not rows or any(len(row) != len(rows[0]) for row in rows):
        raise HandoffError("rows of different length")
    return rows[0], rows[1:]


def _body(name: str, corners: NDArray[np.float64], factor: Any = None) -> Body:
    points = corners.reshape(-1, 3)
    _, index = np.unique(points, axis=0, return_inverse=True)
    faces = index.reshape(-1, 3).astype(np.int64)
    bounds = tuple(float(v) for v in (*points.min(axis=0), *points.max(axis=0)))
    colour = None if factor is None else _screen_colour(np.asarray(factor, dtype=float))
    return Body(name, enclosed_volume(corners), bounds, closed(faces), colour)


def _screen_colour(linear: NDArray[np.float64]) -> tuple[int, int, int]:
    """Linear glTF colour, as fractions or as the 0 to 255 some versions of the reader give, to sRGB 0 to 255."""
    share = linear[:3] / (255.0 if linear.max() > 1.0 else 1.0)
    red, green, blue = np.where(share <= 0.0031308, share * 12.92, 1.055 * share ** (1 / 2.4) - 0.055)
    return round(255 * red), round(255 * green), round(255 * blue)


def _free_shapes(document: Any) -> list[Any]:
    """Labels of the products, without going through a list type that differs between versions of the library."""
    from OCP.TDF import TDF_ChildIterator
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    found, children = [], TDF_ChildIterator(XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).Label())
    while children.More():
        if XCAFDoc_ShapeTool.IsFree_s(children.Value()):
            found.append(children.Value())
        children.Next()
    return found


def _step_body(document: Any, label: Any) -> Body:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TDataStd import TDataStd_Name
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    from linkage.handoff.brep import volume_of

    shape = XCAFDoc_ShapeTool.GetShape_s(label)
    name = TDataStd_Name()
    known = label.FindAttribute(TDataStd_Name.GetID_s(), name)
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    bounds = (low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z())
    text = name.Get().ToExtString() if known else ""
    valid = bool(BRepCheck_Analyzer(shape).IsValid())
    return Body(text, volume_of(shape), bounds, valid, _step_colour(document, shape))


def _step_colour(document: Any, shape: Any) -> tuple[int, int, int] | None:
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    from linkage.handoff.brep import solids_in

    tool, paint = XCAFDoc_DocumentTool.ColorTool_s(document.Main()), Quantity_Color()
    for part in (shape, *solids_in(shape)):
        for kind in (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen):
            if tool.GetColor(part, kind, paint):
                red, green, blue = paint.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
                return round(255 * red), round(255 * green), round(255 * blue)
    return None


def _step_unit(path: Path) -> str:
    text = path.read_text(encoding="ascii", errors="replace")
    if re.search(r"CONVERSION_BASED_UNIT\s*\(\s*'INCH'", text):
        return "in"
    return "mm" if re.search(r"SI_UNIT\s*\(\s*\.MILLI\.\s*,\s*\.METRE\.\s*\)", text) else "not said"
