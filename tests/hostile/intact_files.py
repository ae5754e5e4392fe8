"""Small intact files for bay items: DXF as text and binary, STL as text and binary, STEP."""

from __future__ import annotations

import contextlib
import io
import tempfile
from functools import cache
from pathlib import Path

OLD_DXF = """
0 SECTION 2 HEADER 9 $ACADVER 1 AC1009 9 $INSUNITS 70 4 0 ENDSEC
0 SECTION 2 BLOCKS
0 BLOCK 8 0 2 BOX 70 0 10 0 20 0
0 LINE 8 0 10 0 20 0 11 30 21 0
0 LINE 8 0 10 30 20 0 11 30 21 20
0 LINE 8 0 10 30 20 20 11 0 21 0
0 ENDBLK 0 ENDSEC
0 SECTION 2 ENTITIES
0 CIRCLE 8 ENGINE 10 1200 20 800 40 50
0 ARC 8 ENGINE 10 950 20 900 40 50 50 0 51 180
0 LINE 8 ENGINE 10 900 20 900 11 1000 21 900
0 INSERT 8 ENGINE 2 BOX 10 1000 20 1000 41 2 50 30
0 POLYLINE 8 ENGINE 66 1 70 1
0 VERTEX 8 ENGINE 10 700 20 700
0 VERTEX 8 ENGINE 10 800 20 700 42 0.5
0 VERTEX 8 ENGINE 10 800 20 780
0 SEQEND 8 ENGINE
0 ENDSEC 0 EOF
"""
"""Of the old kind, small enough to be read a thousand times; blanks stand for line ends."""


@cache
def intact(kind: str) -> tuple[bytes, ...]:
    """The files of a kind, "dxf", "stl" or "step"."""
    return {"dxf": _dxf, "stl": _stl, "step": _step}[kind]()


def old_dxf() -> bytes:
    return "\n".join([*OLD_DXF.split(), ""]).encode()


def _dxf() -> tuple[bytes, ...]:
    """The old one three times, so that most cases are quick, and one of all curves, as text and binary."""
    import ezdxf

    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    on = {"layer": "ENGINE"}
    space.add_ellipse((1200, 800), (60, 10), 0.5, dxfattribs=on)
    space.add_lwpolyline([(700, 700), (800, 700, 0, 0, 0.5), (800, 780)], close=True, dxfattribs=on)
    spline = space.add_spline(dxfattribs=on)
    spline.set_open_uniform([(900, 900, 0), (960, 900, 0), (960, 960, 0), (900, 960, 0), (900, 900, 0)])
    inner = document.blocks.new("BOX")
    inner.add_lwpolyline([(0, 0), (20, 0), (20, 10), (0, 10)], close=True)
    outer = document.blocks.new("OUTER")
    outer.add_blockref("BOX", (0, 0))
    outer.add_blockref("BOX", (40, 0), dxfattribs={"column_count": 2, "column_spacing": 30})
    space.add_blockref("OUTER", (1000, 1000), dxfattribs={**on, "rotation": 20})
    space.add_text("not a shape", dxfattribs=on)
    space.add_hatch(dxfattribs=on).paths.add_polyline_path([(0, 0), (1, 0), (1, 1)])
    text, binary = io.StringIO(), io.BytesIO()
    document.write(text)
    document.write(binary, fmt="bin")
    return (old_dxf(),) * 3 + (text.getvalue().encode(), binary.getvalue())


def _stl() -> tuple[bytes, ...]:
    import trimesh

    box = trimesh.creation.box((120, 60, 90))
    box.apply_translation((1000, 10, 800))
    ball = trimesh.creation.icosphere(subdivisions=1, radius=70)
    ball.apply_translation((1000, 10, 800))
    text = trimesh.exchange.stl.export_stl_ascii(box).encode()
    return text, text.replace(b"solid", b"solid ENGINE"), trimesh.exchange.stl.export_stl(ball)


def _step() -> tuple[bytes, ...]:
    """A box and a cylinder; empty without the extra that reads them."""
    found = []
    with contextlib.suppress(ImportError):
        from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
        from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
        from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

        axes = gp_Ax2(gp_Pnt(1000, -40, 700), gp_Dir(0, 1, 0))
        for make in (BRepPrimAPI_MakeBox(axes, 60, 80, 90), BRepPrimAPI_MakeCylinder(axes, 60, 80)):
            writer = STEPControl_Writer()
            writer.Transfer(make.Shape(), STEPControl_AsIs)
            with tempfile.TemporaryDirectory() as scratch:
                path = Path(scratch) / "solid.step"
                writer.Write(str(path))
                found.append(path.read_bytes())
    return tuple(found)
