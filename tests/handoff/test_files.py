"""Every file as other readers see it, in mm and in inches."""

from __future__ import annotations

import csv
import json
import os
import struct
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
import shapely

from linkage.handoff import readers
from linkage.handoff.dxf import dxf_bytes, layer_name, plain
from linkage.handoff.glb import glb_bytes
from linkage.handoff.keepout_json import read_keep_out
from linkage.handoff.manifest import read_manifest
from linkage.handoff.model import Area, Circle, HandoffError, Label, Layer, Line, Mark, NamedSolid, Slab
from linkage.handoff.package import KEEP_OUT_LAYER
from linkage.handoff.solids import mesh_of
from linkage.handoff.stack import measured, side_view, stacked
from linkage.handoff.step_text import part21
from linkage.handoff.stl import stl_bytes
from tests.handoff.samples import handoff, provenance

AWKWARD = ["é", "\"two\" 'three'", "x" * 400, "=cmd|' /C calc'!A0", "a\nb\tc", "50%%u ^J \\U+00E9", "Ω 車 🛞", "\\X2\\"]


def unit_of(folder: Path) -> str:
    return str(read_manifest(folder)["drawing_unit"])


def test_dxf_by_its_own_audit(finished: Path) -> None:
    document = ezdxf.readfile(finished / "keep-out.dxf")
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    assert document.dxfversion == "AC1024"
    unit = unit_of(finished)
    assert document.header["$INSUNITS"] == {"mm": 4, "in": 1}[unit]
    names = {layer.dxf.name for layer in document.layers}
    assert {"KEEP-OUT", "down", "_cmd _é_", "PINS", "TEXT"} <= names
    space = document.modelspace()
    assert {e.dxf.layer for e in space.query("TEXT")} == {"TEXT"}
    assert document.layers.get("KEEP-OUT").dxf.linetype == "PHANTOM"
    circle = space.query("CIRCLE").first
    assert circle is not None
    assert circle.dxf.radius == pytest.approx(180 / {"mm": 1, "in": 25.4}[unit], rel=1e-12)
    bulges = [b for e in space.query("LWPOLYLINE") for *_, b in e.get_points("xyb") if e.dxf.layer == "KEEP-OUT"]
    assert sum(b != 0 for b in bulges) > 0 and len(bulges) < 60


def test_dxf_keep_out_encloses_the_side_view(finished: Path) -> None:
    drawing = readers.read_dxf(finished / "keep-out.dxf", KEEP_OUT_LAYER)
    side = side_view(stacked(handoff().keep_out))
    assert drawing.region.buffer(2e-4).covers(side)
    assert side.area < drawing.region.area < side.buffer(0.051).area


def test_dxf_holes_are_holes() -> None:
    plate = shapely.box(0, 0, 100, 100) - shapely.Point(50, 50).buffer(20)
    path_bytes = dxf_bytes([Layer("plate", (Area(plate),))], "mm")
    assert path_bytes.count(b"LWPOLYLINE") >= 2


def test_dxf_is_the_same_again() -> None:
    layers = [
        Layer("a", (Line((0j, 1 + 1j), True), Circle(1j, 2.0), Mark(0j), Label(0j, "é"), Area(shapely.box(0, 0, 9, 9))))
    ]
    assert dxf_bytes(layers, "in", ["note"]) == dxf_bytes(layers, "in", ["note"])
    assert ezdxf.options.write_fixed_meta_data_for_testing is False


def test_dxf_is_the_same_in_every_process() -> None:
    """Sets of texts have another order in each process. These two seeds had
    different ones in the writer."""
    program = (
        "import hashlib; from linkage.handoff.dxf import dxf_bytes; from linkage.handoff.model import Layer, Mark;"
        "print(hashlib.sha256(dxf_bytes([Layer('a', (Mark(0j),))], 'mm')).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", program],
            env=os.environ | {"PYTHONHASHSEED": seed},
            stdout=subprocess.PIPE,
            check=True,
        ).stdout
        for seed in ("1", "4")
    }
    assert len(said) == 1


@pytest.mark.parametrize("text", AWKWARD)
def test_dxf_text_stays_text(text: str, tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(dxf_bytes([Layer(text, (Mark(0j), Label(0j, text)))], "mm"))
    document = ezdxf.readfile(path)
    assert not document.audit().errors
    entity = document.modelspace().query("TEXT").first
    assert entity is not None
    shown = entity.plain_text()
    assert len(shown) <= 250 and "\n" not in shown
    for word in ("é", "Ω 車 🛞", "=cmd", "\"two\" 'three'"):
        assert (word in text) == (word in shown)
    assert len(plain(text)) <= 251 and layer_name(text).strip()


def test_layers_that_fall_together_stay_apart() -> None:
    layers = [
        Layer("a=b", ()),
        Layer("a:b", ()),
        Layer("TEXT", (Mark(0j),)),
        Layer(" ", ()),
        Layer("N", (Label(0j, "n"),)),
    ]
    text = dxf_bytes(layers, "mm").decode()
    assert "\nN\n" not in text  # nothing but text: it is on the text layer
    for name in ("a_b", "a_b (2)", "TEXT (2)", "_"):
        assert f"\n{name}\n" in text


def test_stl_by_layout_and_by_trimesh(finished: Path) -> None:
    path = finished / "keep-out.stl"
    unit, own = readers.read_stl(path)
    other = readers.read_stl_elsewhere(path)
    truth = measured(handoff().keep_out)
    assert unit == "mm"  # also in an inch package: the format has no unit, so it is always the same one
    assert not path.read_bytes().startswith(b"solid")
    assert own.sound and other.sound
    assert own.volume_mm3 == pytest.approx(other.volume_mm3, rel=1e-9)
    assert truth.volume_mm3 <= own.volume_mm3 <= truth.volume_mm3 * 1.0005


def test_glb_is_in_metres_with_y_up(finished: Path) -> None:
    import trimesh

    with (finished / "keep-out.glb").open("rb") as file:
        scene = trimesh.load(file, file_type="glb", force="scene")
    fs_lo, _, wl_lo, fs_hi, _, wl_hi = measured(handoff().keep_out).bounds_mm
    assert scene.bounds[0] == pytest.approx([fs_lo / 1e3, wl_lo / 1e3, -0.06], abs=1e-4)
    assert scene.bounds[1] == pytest.approx([fs_hi / 1e3, wl_hi / 1e3, 0.06], abs=1e-4)
    bodies = {b.name: b for b in readers.read_glb(finished / "keep-out.glb")}
    assert set(bodies) == {"keep-out", "zone é 'x' =cmd", "keep-out (2)"}
    assert all(b.sound for b in bodies.values())
    assert bodies["zone é 'x' =cmd"].bounds_mm[1] == -60


def test_glb_chunks_follow_the_layout(finished: Path) -> None:
    data = (finished / "keep-out.glb").read_bytes()
    magic, version, total = struct.unpack_from("<4sII", data)
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert (magic, version, total, kind) == (b"glTF", 2, len(data), b"JSON") and size % 4 == 0
    scene = json.loads(data[20 : 20 + size])
    rest, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0" and rest == scene["buffers"][0]["byteLength"] and rest % 4 == 0
    assert [m.get("alphaMode") for m in scene["materials"]] == ["BLEND", None, None]


@pytest.mark.parametrize("text", AWKWARD)
def test_meshes_carry_awkward_names(text: str, tmp_path: Path) -> None:
    solid = NamedSolid(text, (10, 200, 30), (Slab(0, 1, shapely.box(0, 0, 1, 1)),))
    mesh = mesh_of(solid)
    (tmp_path / "a.glb").write_bytes(glb_bytes([mesh], [solid], provenance()))
    assert [b.name for b in readers.read_glb(tmp_path / "a.glb")] == [text]
    assert stl_bytes(mesh, "ab" * 32) == stl_bytes(mesh_of(solid), "ab" * 32)


def test_keep_out_json_gives_the_very_same_slabs(finished: Path) -> None:
    read = read_keep_out(finished / "keep-out.json")
    assert [s.name for s in read.solids] == ["keep-out", "zone é 'x' =cmd", "keep-out (2)"]
    for ours, theirs in zip(stacked(handoff().keep_out), read.solids[0].slabs, strict=True):
        assert ours.region.equals(theirs.region)
        assert (ours.bl_lo, ours.bl_hi) == (theirs.bl_lo, theirs.bl_hi)
    said = provenance("mm")
    assert read.head["states"] == list(said.states)
    assert read.head["guarantee"] == said.guarantee
    assert read.head["cautions"] == list(said.cautions)
    assert (read.head["allowance_mm"], read.head["tolerance_mm"]) == (10.0, 0.1)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        '{"format": "else"}',
        '{"format": "noseleg keep-out 1"}',
        '{"format": "noseleg keep-out 1", "solids": []}',
        '{"format": "noseleg keep-out 1", "solids": [{"name": "a"}]}',
        '{"format": "noseleg keep-out 1", "tolerance_mm": NaN, "solids": []}',
        "[" * 100_000,
    ],
)
def test_broken_keep_out_json_is_one_clear_error(text: str, tmp_path: Path) -> None:
    path = tmp_path / "keep-out.json"
    path.write_text(text)
    with pytest.raises(HandoffError, match=r"keep-out\.json"):
        read_keep_out(path)


def test_station_table_encloses_the_slabs(finished: Path) -> None:
    unit = unit_of(finished)
    factor = {"mm": 1.0, "in": 25.4}[unit]
    with (finished / "stations.csv").open(newline="", encoding="utf-8") as file:
        rows = [{k: float(v) * factor for k, v in row.items()} for row in csv.DictReader(file)]
    for slab in stacked(handoff().keep_out):
        middle = (slab.bl_lo + slab.bl_hi) / 2
        boxes = [
            shapely.box(*(r[f"{c}_{unit}"] for c in ("fs_from", "wl_bottom", "fs_to", "wl_top")))
            for r in rows
            if r[f"bl_from_{unit}"] < middle < r[f"bl_to_{unit}"]
        ]
        union = shapely.union_all(boxes)
        assert union.buffer(1e-6).covers(slab.region)
        # It is a table, not a block: empty room above and below the gear is left out.
        assert union.area < 1.25 * slab.region.area
    stations = {r[f"fs_from_{unit}"] / factor for r in rows}
    assert {"mm": 500.0, "in": 20.0}[unit] in {round(s, 3) for s in stations}


def test_pin_table_is_safe_in_a_spreadsheet(finished: Path) -> None:
    unit = unit_of(finished)
    with (finished / "pins.csv").open(newline="", encoding="utf-8") as file:
        head, *rows = list(csv.reader(file))
    assert head == ["pin", *(f"{c}_{unit}" for c in ("fs_down", "wl_down", "fs_up", "wl_up"))]
    assert [row[0] for row in rows] == ["trunnion", "'=knee, é"]
    factor, half = {"mm": (1.0, 5e-4), "in": (25.4, 2e-3)}[unit]
    assert [float(v) * factor for v in rows[1][1:]] == pytest.approx([1200, 500, 1300.5, 820.25], abs=half)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("é", "\\X2\\00E9\\X0\\"),
        ("it's", "it''s"),
        ("a\\b", "a\\\\b"),
        ("🛞", "\\X4\\0001F6DE\\X0\\"),
        ("=cmd", "=cmd"),
    ],
)
def test_step_text_follows_the_standard(text: str, said: str) -> None:
    assert part21(text) == said
