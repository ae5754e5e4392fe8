"""A study changed on the way is not its file: outputs say so, and a package of it does not pass for the file's."""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path

import pytest

from linkage.document.reader import read
from linkage.document.ways import written
from linkage.handoff.package import write_package
from linkage.handoff.verify import verify
from linkage.report.figures import side_view_sheet
from linkage.report.hand_over import hand_over
from linkage.report.pack.content import content
from linkage.report.page import page
from linkage.report.tolerance.files import page as rig_page
from linkage.report.tolerance.files import tolerance_json
from linkage.solution import Solution, solve
from linkage.tolerance import tolerance
from tests.studies import solution
from tests.topologies import STARTER

CHANGE = "gear.brace.over_centre=6"


@cache
def changed_study() -> Solution:
    return solve(read(STARTER, {"gear.brace.over_centre": 6}))


def test_changes_are_told_as_they_would_be_written() -> None:
    values = {"a": 1, "b b": [1.5, 'x "y"', True], "c": {}, "d": {"e": [[0, 1]]}, "f": float("inf"), "g": "\x7f"}
    assert tomllib.loads(f"v = {written(values)}")["v"] == values
    source = read(STARTER, {"gear.brace.lug": {"along": 180}, "title": "new"})
    assert source.changes == ("gear.brace.lug={ along = 180 }", 'title="new"')
    assert read(STARTER).changes == ()
    assert changed_study().source.title == f"My nose gear, with {CHANGE}"


def test_a_package_of_a_changed_study_is_not_of_its_file(tmp_path: Path) -> None:
    changed, own = tmp_path / "changed", tmp_path / "own"
    write_package(changed, hand_over(changed_study()))
    write_package(own, hand_over(solution(STARTER)))
    (check,) = [c for c in verify(changed, STARTER) if c.subject == "study"]
    assert check.passed is False and CHANGE in check.found
    assert [c.subject for c in verify(changed, STARTER) if c.passed is False] == ["study"]
    assert all(c.passed is not False for c in verify(own, STARTER))
    for name in ("manifest.json", "keep-out.json"):
        assert json.loads((changed / name).read_text())["study"]["changes"] == [CHANGE]
        assert "changes" not in json.loads((own / name).read_text())["study"]
    for name in ("keep-out.step", "keep-out.dxf", "keep-out.glb", "keep-out.stl"):
        if name == "keep-out.step" and not (changed / name).exists():  # without the extra cad
            continue
        words = b" changed" if name.endswith("stl") else CHANGE.encode()
        assert words in (changed / name).read_bytes(), name
        assert words not in (own / name).read_bytes(), name


def test_sheet_page_and_pack_say_what_was_changed() -> None:
    for solved, count in ((changed_study(), 1), (solution(STARTER), 0)):
        texts = [t.get_text() for ax in side_view_sheet(solved).figure.axes for t in ax.texts]
        assert sum(CHANGE in t.replace("\n", " ") for t in texts) == count
        assert page(solved, "<svg></svg>").count(CHANGE) == count
        data, _ = content(solved, "<svg></svg>", (), (), (), close=())
        assert (CHANGE in str(data["blocks"]).replace("\\u200b", "")) == bool(count)


def test_rig_card_says_what_was_changed() -> None:
    study = tolerance(read(STARTER, {"tolerances.link_length": 0.15}), 200)
    assert "tolerances.link_length=0.15" in rig_page(study, [])
    assert json.loads(tolerance_json(study))["study"]["changes"] == ["tolerances.link_length=0.15"]


def test_a_mark_of_encoding_is_no_part_of_the_study(tmp_path: Path) -> None:
    marked = tmp_path / "study.toml"
    marked.write_bytes(b"\xef\xbb\xbf" + STARTER.read_bytes())
    assert read(marked).study == read(STARTER).study
    assert read(marked).text == read(STARTER).text


@pytest.mark.parametrize("deeper", ["bay.item[0].required", "bay.item[wall].required"])
def test_what_a_change_brings_can_be_changed_further(deeper: str) -> None:
    wall = {"name": "wall", "butt_lines": [-500, 500], "outline": [[1650, 430], [1650, 1330], [1662, 1330]]}
    study = read(STARTER, {"bay.item": [wall], deeper: 30}).study
    assert [i.required.gap for i in study.bay.item if i.required] == [30.0]
