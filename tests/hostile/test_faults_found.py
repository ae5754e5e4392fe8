"""Every fault that a long run of hostile input has found, the case that failed as small as it would go."""

from __future__ import annotations

import io
import math
import re
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely

from linkage.document.reader import Source, read
from linkage.drafting.draft import begin
from linkage.drafting.keeping import saved_beside
from linkage.errors import DocumentError, MechanismError
from linkage.folders import staged
from linkage.gear import build
from linkage.glance import glance
from linkage.obstacles import obstacles
from linkage.plane.contact import areal, signed
from linkage.report.hand_over import hand_over
from linkage.solution import solve
from tests import topologies
from tests.hostile.bay_files import read_as, study_with
from tests.hostile.intact_files import intact, old_dxf
from tests.hostile.moments import at_every_step
from tests.hostile.watching import LONGEST, no_longer_than
from tests.studies import MERROW, OSTREL, changed

CIRCLE = "0 CIRCLE 8 ENGINE 10 1200 20 800 40 50"
IN_BOX = "0 LINE 8 0 10 0 20 0 11 30 21 0"
ROWS = "0 INSERT 8 ENGINE 2 BOX 10 1000 20 900 41 1 70 3 71 2 44 40 45 30"


def dxf(old: str = "", new: str = "") -> bytes:
    """The intact file with one thing changed; blanks stand for line ends."""
    content = old_dxf()
    before, after = ("\n".join(text.split()).encode() for text in (old, new))
    assert before in content
    return content.replace(before, after, 1) if old else content


def fault(kind: str, content: bytes, folder: Path) -> str:
    (folder / f"bay.{kind}").write_bytes(content)
    with no_longer_than(LONGEST), pytest.raises(DocumentError) as caught:
        obstacles(study_with(kind), folder)
    assert f"bay.{kind}" in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (CIRCLE, CIRCLE.replace("1200", "inf"), "a CIRCLE in 'bay.dxf' reaches to FS inf"),  # never came back
        (CIRCLE, CIRCLE.replace("1200", "-nan"), "a CIRCLE in 'bay.dxf' reaches to FS nan"),
        (CIRCLE, CIRCLE.replace("40 50", "40 1e12"), "reaches to"),
        (CIRCLE, CIRCLE.replace("CIRCLE", "FOO"), "a FOO in 'bay.dxf' has no outline"),  # was left out in silence
        (
            CIRCLE,
            CIRCLE.replace("CIRCLE", "3" * 400),
            "... in 'bay.dxf' has no outline",
        ),  # left no room for the file's name
        (CIRCLE, "0 MLINE 8 ENGINE 10 0 20 0", "a MLINE in 'bay.dxf'"),  # did not name the file
        (IN_BOX, f"{IN_BOX} 0 INSERT 8 0 2 BOX 10 0 20 0", "lie more than 16 deep in one another"),
        (CIRCLE, ROWS.replace("70 3 71 2", "70 30000 71 30000"), "hold more than 5000 entities"),
        (
            CIRCLE,
            f"{CIRCLE} {ROWS.replace('70 3 71 2 44 40', '70 30000 71 30000 44 0')}",
            "hold more than 5000",
        ),  # no end
        (IN_BOX, "0 INSERT 8 0 2 NOBODY 10 0 20 0", "a block in 'bay.dxf' cannot be opened"),
        (IN_BOX, "0 INSERT 8 0 2 B 10 0 20 0 41 -1e308", "a block in 'bay.dxf' cannot be opened"),
        ("0 ENDBLK", "999 gone", "a block in 'bay.dxf' cannot be opened"),
        ("0 ENDBLK", "0 BLOCK 8 0 2 C 70 0 0 ENDBLK", "readable in parts only"),  # a block was left out in silence
        ("$INSUNITS 70 4", "$INSUNITS 70 4 9 inf 70 inf", "not readable as DXF"),
        ("0 SECTION 2 ENTITIES", "0 SECTION 2 \x1b[31m\x07", "this drawing is empty"),
    ],
)
def test_drawings(old: str, new: str, words: str, tmp_path: Path) -> None:
    said = fault("dxf", dxf(old, new), tmp_path)
    assert words in said
    assert "\x1b" not in said


def test_blocks_in_blocks_without_end(tmp_path: Path) -> None:
    """Ten of the next ten times over, twelve deep."""
    chain = "".join(
        f" 0 BLOCK 8 0 2 B{i} 70 0 10 0 20 0" + 10 * f" 0 INSERT 8 0 2 B{i + 1} 10 0 20 0" + " 0 ENDBLK"
        for i in range(12)
    )
    blocks = f"{chain} 0 BLOCK 8 0 2 B12 70 0 10 0 20 0 {IN_BOX} 0 ENDBLK 0 ENDSEC 0 SECTION 2 ENTITIES"
    content = dxf("0 ENDSEC 0 SECTION 2 ENTITIES", f"{blocks} 0 INSERT 8 ENGINE 2 B0 10 0 20 0")
    assert "hold more than 5000 entities" in fault("dxf", content, tmp_path)


def test_rows_and_columns_of_a_block_are_all_there(tmp_path: Path) -> None:
    """Only the first of them was."""
    before = read_area(dxf(), tmp_path)
    triangle = 30 * 20 / 2
    assert read_area(dxf(CIRCLE, f"{CIRCLE} {ROWS}"), tmp_path) - before == pytest.approx(6 * triangle, rel=0.01)


def read_area(content: bytes, folder: Path) -> float:
    (folder / "bay.dxf").write_bytes(content)
    return float(obstacles(study_with("dxf"), folder)[0].shape.area)


def test_lines_that_all_cross_one_another(tmp_path: Path) -> None:
    lines = "".join(f" 0 LINE 8 ENGINE 10 {i % 97} 20 0 11 {i % 89} 21 900" for i in range(4000))
    assert "cross one another without end" in fault("dxf", dxf(CIRCLE, lines), tmp_path)


def test_the_library_is_quiet(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """It quoted the file, and a traceback of its own, on the terminal."""
    fault("dxf", dxf("0 ENDBLK", "999 gone"), tmp_path)
    fault("stl", intact("stl")[0].replace(b"facet", b"fac\x1bet", 1), tmp_path)
    assert capfd.readouterr() == ("", "")


def test_meshes(tmp_path: Path) -> None:
    text, _, binary = intact("stl")
    assert "says 4294967295 triangles" in fault("stl", binary[:80] + b"\xff" * 4 + binary[84:], tmp_path)
    assert "has 34 bytes" in fault("stl", binary[:34], tmp_path)  # 84 + 50 * -1
    assert "no closed mesh" in fault("stl", binary[:80] + b"\x01\0\0\0" + binary[84:134], tmp_path)
    for quiet_or_not in (b"\xc0", b"\xa0"):
        content = binary[:96] + b"\0\0" + quiet_or_not + b"\x7f" + binary[100:]
        assert "reaches to FS nan" in fault("stl", content, tmp_path)
    assert "line 2 on" in fault("stl", text.replace(b"vertex", b"vertex nan ", 1), tmp_path)
    digits = text.replace(b"1060.0", b"1" * 4000)
    assert "reaches to" in fault("stl", digits, tmp_path)  # was tried in all ways in which digits can be cut


def test_a_mesh_with_its_faces_inside_out(tmp_path: Path) -> None:
    facets = intact("stl")[0].decode().split("endfacet")
    turned = [
        "\n".join([*(lines := f.split("\n"))[:3], *lines[3:6][::-1], *lines[6:]]) if "vertex" in f else f
        for f in facets
    ]
    assert "vertex" in turned[0]
    assert read_as("stl", "endfacet".join(turned).encode(), tmp_path) == "read"


def test_a_solid_that_takes_the_cad_kernel_down(tmp_path: Path) -> None:
    """It took the whole process with it: a segmentation fault, where a direction is gone that a line of an edge needs.
    Which of them does it depends on the kernel's version."""
    if not intact("step"):
        pytest.skip("needs the extra that reads it")
    content = intact("step")[0]
    wanted = re.findall(rb"= VECTOR\('',(#\d+),", content)
    name = wanted[27 % len(wanted)]
    assert read_as("step", content.replace(name + b" =", name + b"q="), tmp_path) in ("refused", "read")


def test_a_cad_kernel_that_is_taken_down(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if not intact("step"):
        pytest.skip("needs the extra that reads it")
    monkeypatch.setattr("linkage.obstacles.step.MEMORY", 64 << 20)  # too little to load it
    assert "the CAD kernel fails" in fault("step", intact("step")[0] + b"\n", tmp_path)


@pytest.mark.parametrize("name", ["a\0b.dxf", "x" * 5000 + ".dxf", "loop.dxf", "folder.dxf"])
def test_names_that_are_none(name: str, tmp_path: Path) -> None:
    (tmp_path / "loop.dxf").symlink_to(tmp_path / "loop.dxf")
    (tmp_path / "folder.dxf").mkdir()
    study = study_with("dxf")
    item = study.bay.item[0].model_copy(update={"file": name})
    with pytest.raises(DocumentError, match=r"bay\.item\[0\]\.file"):
        obstacles(study.model_copy(update={"bay": study.bay.model_copy(update={"item": (item,)})}), tmp_path)


def test_a_glance_at_a_gear_without_bay_items() -> None:
    """Parts to be kept apart, nothing in the bay."""
    seen = glance(topologies.study("upper link", {"gear.self_gap": 3}))
    assert seen.trouble == ()
    assert seen.clearance is not None
    assert [(g.part, g.item) for g in seen.clearance.own] == [("leg", "brace")]
    assert seen.clearance.own[0].gap == pytest.approx(8.0)  # between the leg's side and the brace's plate


def test_a_copy_beside_a_study_is_there_whole_or_not(tmp_path: Path) -> None:
    """It was there empty for a moment."""
    (tmp_path / "study.toml").write_bytes(OSTREL.read_bytes())
    draft, copy = begin(tmp_path / "study.toml"), tmp_path / "study.1.toml"
    found = at_every_step(lambda: saved_beside(draft), lambda: copy.read_text() if copy.exists() else "")
    assert read(copy).study == draft.study
    assert set(found) == {"", copy.read_text()}
    assert found.count("") > 3


@pytest.mark.parametrize("height", [1e15, math.nan, -math.inf])
def test_a_curve_far_above_the_drawing(height: float, tmp_path: Path) -> None:
    """Only FS and WL were looked at, but a curve is cut as finely as its height asks for: it never came back."""
    document = ezdxf.new("R2010")  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = 4
    spline = document.modelspace().add_spline(dxfattribs={"layer": "ENGINE"})
    spline.set_open_uniform([(0, 0, 0), (1, 9, height), (8, 9, 0), (9, 0, 0)])
    text = io.StringIO()
    document.write(text)
    assert "a SPLINE in 'bay.dxf' reaches to" in fault("dxf", text.getvalue().encode(), tmp_path)


def test_a_folder_is_replaced_from_a_working_folder_that_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shell may stand in an older output folder that was replaced and removed."""
    out, gone = tmp_path / "out", tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    for text in ("older", "new"):
        with staged(out, last="a.txt") as draft:
            (draft / "a.txt").write_text(text)
    assert (out / "a.txt").read_text() == "new"


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"gear.brace.upper_pin": [840, 682]}, "gear.brace.upper_pin"),
        ({"gear.brace.lug": {"along": 0}}, "gear.brace.lug"),
    ],
)
def test_a_brace_that_ends_at_the_trunnion(change: dict[str, Any], named: str) -> None:
    """It divided by the distance."""
    with pytest.raises(MechanismError, match=f"{named} lies 0 mm from gear.trunnion.* the least that works is 1 mm"):
        build(changed(change))


def test_a_link_whose_pins_lie_on_one_another() -> None:
    """Its direction was worked out from a length of nought, which was said as a warning of a library."""
    study = topologies.study("lock links", {"gear.lock_link.pin": {"radius": 1e-300, "angle": 12}})
    with pytest.raises(MechanismError, match=r"two pins of the .* lie 0 mm apart .* the least that works is 1 mm"):
        build(study)


def test_a_gear_without_parts_hands_nothing_over() -> None:
    """It said that a solid has no slabs."""
    bare = topologies.study("upper link", {"gear.part": [], "gear.neighbours": []})
    without = solve(Source(MERROW, "0" * 64, "", bare), closely=False)
    with pytest.raises(DocumentError, match=r"gear\.part: no part takes any room"):
        hand_over(without)


def test_lines_that_cross_touch_and_have_no_depth_in_one_another() -> None:
    """A bay item may be a line: an empty area was made for each of thousands of gears, which took most of the time."""
    lines = shapely.linestrings([[[0, 0], [10, 10]]] * 3)
    line, box = shapely.LineString([(0, 10), (10, 0)]), shapely.box(4, 4, 9, 6)
    others = np.array([line, shapely.Point(5, 5).buffer(2), shapely.GeometryCollection([line, box])])
    assert signed(lines, others, 1.0) == pytest.approx([-1.0, -3.0, -2.0], abs=0.02)
    assert [shapely.is_empty(a) for a in areal(others)] == [True, False, False]


@pytest.mark.parametrize(
    "path", ["gear.trunnion[²]", f"gear.trunnion[{'1' * 5000}]", "gear.trunnion[-1]", "gear.trunnion[٣]", "[[[", "."]
)
def test_a_path_of_a_setting_that_is_none(path: str) -> None:
    """Python takes more signs for digits than for numbers, and no number of thousands of digits."""
    with pytest.raises(DocumentError, match="no such place in the study"):
        read(MERROW, {path: 3})
