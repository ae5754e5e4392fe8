"""Bay items from DXF, STL and STEP: right regions, never smaller; everything unusable is said, nothing dropped."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
import trimesh

from linkage.errors import DocumentError
from linkage.obstacles import obstacles
from tests.studies import changed


def item(**fields: Any) -> Any:
    return changed({"bay.item": [{"name": "thing", "required": 5, **fields}]})


def dxf(folder: Path, unit: int = 4, open_chain: bool = False) -> Path:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    space = document.modelspace()
    space.add_circle((1200, 800), 50, dxfattribs={"layer": "ENGINE"})
    # a half disc of a line and an arc, drawn apart
    space.add_line((900, 900), (1000, 900), dxfattribs={"layer": "ENGINE"})
    space.add_arc((950, 900), 50, 0, 180, dxfattribs={"layer": "ENGINE"})
    block = document.blocks.new("BOX")
    block.add_lwpolyline([(0, 0), (20, 0), (20, 10), (0, 10)], close=True)
    space.add_blockref("BOX", (1000, 1000), dxfattribs={"layer": "ENGINE", "rotation": 90, "xscale": 2})
    space.add_text("not a shape", dxfattribs={"layer": "ENGINE"})
    if open_chain:
        space.add_line((0, 0), (10, 5), dxfattribs={"layer": "ENGINE"})
    path = folder / "bay.dxf"
    document.saveas(path)
    return path


def test_dxf_layer_with_arcs_and_blocks(tmp_path: Path) -> None:
    dxf(tmp_path)
    study = item(file="bay.dxf", layer="ENGINE", butt_lines=[-50, 50])
    (found,) = obstacles(study, tmp_path)
    truth = math.pi * 50**2 * 1.5 + 40 * 10
    assert truth < found.shape.area < truth * 1.004
    angles = np.linspace(0, 2 * np.pi, 999)
    assert shapely.covers(found.shape, shapely.points(1200 + 50 * np.cos(angles), 800 + 50 * np.sin(angles))).all()
    assert found.butt_lines == ((-50.0, 50.0),)


@pytest.mark.parametrize(
    ("unit", "fields", "words"),
    [
        (4, {"layer": "MOTOR"}, "layer 'MOTOR' is not in 'bay.dxf'; expected layer = one of ENGINE"),
        (0, {"layer": "ENGINE"}, "does not say its unit"),
        (1, {"layer": "ENGINE"}, "millimetres read as inches"),
        (4, {"layer": "ENGINE", "file": "../bay.dxf"}, "outside the study's folder"),
        (4, {"layer": "ENGINE", "file": "none.dxf"}, "is not there"),
        (4, {"layer": "ENGINE", "file": "study.txt"}, "unknown ending"),
    ],
)
def test_unusable_dxf(unit: int, fields: dict[str, Any], words: str, tmp_path: Path) -> None:
    dxf(tmp_path, unit)
    (tmp_path / "study.txt").write_text("x")
    with pytest.raises(DocumentError) as caught:
        obstacles(item(**{"file": "bay.dxf", "butt_lines": [-50, 50], **fields}), tmp_path)
    assert "bay.item[0].file" in str(caught.value)
    assert words in str(caught.value)


def test_open_chain_is_reported_with_its_place(tmp_path: Path) -> None:
    dxf(tmp_path, open_chain=True)
    with pytest.raises(DocumentError, match=r"open chain near FS (0|10)"):
        obstacles(item(file="bay.dxf", layer="ENGINE", butt_lines=[-50, 50]), tmp_path)


def test_self_crossing_outline_is_reported_with_its_place(tmp_path: Path) -> None:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    corners = [(900, 900), (1000, 1000), (1000, 900), (900, 1000)]
    document.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "ENGINE"})
    document.saveas(tmp_path / "bay.dxf")
    with pytest.raises(DocumentError, match=r"crosses or touches itself at \(950, 950\)"):
        obstacles(item(file="bay.dxf", layer="ENGINE", butt_lines=[-50, 50]), tmp_path)


@pytest.mark.parametrize("name", ["broken.dxf", "broken.stl", "broken.step"])
def test_broken_files(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_bytes(b"\x00nothing of the kind" * 20)
    with pytest.raises(DocumentError, match=r"bay\.item"):
        obstacles(item(file=name, layer="A", butt_lines=[-5, 5], file_unit="mm"), tmp_path)


def test_stl_sphere_in_slices_holds_the_sphere(tmp_path: Path) -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100)
    ball.apply_translation((1000, 20, 700))
    ball.export(tmp_path / "ball.stl")
    found = obstacles(item(file="ball.stl", file_unit="mm", slices=10), tmp_path)
    assert len(found) == 10
    rng = np.random.default_rng(1)
    for place in rng.choice(ball.vertices, 500):
        home = [o for o in found if o.butt_lines[0][0] <= place[1] <= o.butt_lines[0][1]]
        assert any(o.shape.covers(shapely.Point(place[0], place[2])) for o in home)
    volume = sum(o.shape.area * (o.butt_lines[0][1] - o.butt_lines[0][0]) for o in found)
    assert ball.volume < volume < 1.25 * ball.volume
    # the outermost slice is as small as the widest circle in it, not as large as the ball
    assert found[0].shape.area == pytest.approx(math.pi * (100**2 - 80**2), rel=0.02)


def test_stl_in_inches_and_open_or_flat_meshes(tmp_path: Path) -> None:
    block = trimesh.creation.box((4, 2, 3))
    block.apply_translation((40, 0, 28))
    block.export(tmp_path / "block.stl")
    found = obstacles(item(file="block.stl", file_unit="in", slices=1), tmp_path)
    assert found[0].shape.area == pytest.approx(12 * 25.4**2, rel=1e-3)
    with pytest.raises(DocumentError, match="inches read as mm"):
        obstacles(item(file="block.stl", file_unit="mm"), tmp_path)
    with pytest.raises(DocumentError, match="does not say its unit"):
        obstacles(item(file="block.stl"), tmp_path)
    trimesh.Trimesh(block.vertices, block.faces[:-1]).export(tmp_path / "open.stl")
    with pytest.raises(DocumentError, match="no closed mesh"):
        obstacles(item(file="open.stl", file_unit="in"), tmp_path)


def test_step_cylinder(tmp_path: Path) -> None:
    pytest.importorskip("OCP")
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    solid = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(1000, -40, 700), gp_Dir(0, 1, 0)), 60, 80).Shape()
    writer = STEPControl_Writer()
    writer.Transfer(solid, STEPControl_AsIs)
    writer.Write(str(tmp_path / "can.step"))
    (found,) = obstacles(item(file="can.step", slices=1), tmp_path)
    angles = np.linspace(0, 2 * np.pi, 999)
    assert shapely.covers(found.shape, shapely.points(1000 + 60 * np.cos(angles), 700 + 60 * np.sin(angles))).all()
    assert found.shape.area == pytest.approx(math.pi * 60**2, rel=5e-3)
    assert found.butt_lines[0] == pytest.approx((-40, 40), abs=0.1)
