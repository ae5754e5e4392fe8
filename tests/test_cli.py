"""The command as a stranger meets it: exit codes, one message, nothing written on failure."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linkage import __version__
from linkage.cli import app
from linkage.cli.shared import change, changed
from linkage.report import review
from tests.studies import MERROW
from tests.topologies import STARTER

run = CliRunner()


def test_version_and_help() -> None:
    told = run.invoke(app, ["--version"])
    assert (told.exit_code, told.stdout) == (0, f"noseleg {__version__}\n")
    for command in ([], ["check"]):
        short, long = (run.invoke(app, [*command, way]) for way in ("-h", "--help"))
        assert short.exit_code == long.exit_code == 0
        assert short.stdout == long.stdout
        assert short.stdout.startswith("Usage: ")


def test_check_prints_findings_worst_first() -> None:
    result = run.invoke(app, ["check", str(MERROW)])
    assert result.exit_code == 1
    lines = [line for line in result.stdout.splitlines() if line.startswith(("SHORT", "good"))]
    assert lines[0].startswith("SHORT")
    assert "least nose share" in lines[0]


def test_check_of_a_good_study_exits_0() -> None:
    result = run.invoke(app, ["check", str(MERROW), "--set", "limits.nose_share.min=0.14"])
    assert result.exit_code == 0, result.stdout


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        (["gear.brace.upper_link=500"], 3, "cannot close"),
        (["gear.brace.over_centre=-1"], 2, "gear.brace.over_centre"),
        (["gear.brace.uper_pin=[1,2]"], 2, "expected gear.brace.upper_pin"),
        (["over_centre=4"], 2, "gear.brace.over_centre"),
        (["gera.x=4", "gear.leg.lenght=3"], 2, "2 fault(s)"),
        (["bay.item[oil colour].required=4"], 2, "bay.item[oil cooler]"),
        (["gear.brace.over_centre=five"], 2, "'five' is not a number with a unit of length"),
        (["gear.brace.over_centre=5 furlong"], 2, "mm, cm, m, in, ft"),
        (["gear.brace.upper_pin=5"], 2, "5; expected a list"),
        (["gear.brace=5"], 2, "gear.brace: 5; expected a table"),
        (["title=5"], 2, "title: 5; expected a text"),
        (["gear.leg.stop=maybe"], 2, "expected true or false"),
        (["gear.brace.upper_pin=[1140,"], 2, "[1140, 550]"),
        (["gear.folds=sideways"], 2, "'aft' or 'forward'"),
        (["nonsense"], 2, "PATH=VALUE"),
    ],
)
def test_bad_input_writes_nothing(changes: list[str], code: int, words: str, tmp_path: Path) -> None:
    out = tmp_path / "out"
    arguments = ["review", str(MERROW), "-o", str(out), *(a for c in changes for a in ("--set", c))]
    result = run.invoke(app, arguments)
    assert result.exit_code == code
    assert words in result.stderr
    assert "Traceback" not in result.output
    assert not out.exists()


def test_set_takes_lists_tables_units_and_names() -> None:
    """Each way of writing a value gives what the same value in the file would."""
    from linkage.cli.shared import source_of

    changes = [
        "gear.brace.upper_pin=[1141, '55.1 cm']",
        "gear.brace.lug={along=181, offset=1}",
        "gear.brace.over_centre=0.2 in",
        "bay.item[oil cooler].required=9",
        "gear.leg.stop=true",
        "title=a new, plain text",
    ]
    study = source_of(MERROW, changes).study
    assert study.gear.brace.upper_pin == (1141.0, 551.0)
    assert (study.gear.brace.lug.along, study.gear.brace.lug.offset) == (181.0, 1.0)
    assert study.gear.brace.over_centre == pytest.approx(5.08)
    assert [i.required.gap for i in study.bay.item if i.name == "oil cooler" and i.required] == [9.0]
    assert study.gear.leg.stop is True
    assert study.title == "a new, plain text"


@pytest.mark.parametrize(
    ("text", "pair"),
    [
        ("gear.brace.over_centre=.5", ("gear.brace.over_centre", 0.5)),
        ("gear.brace.over_centre= -5. ", ("gear.brace.over_centre", -5.0)),
        ("gear.brace.over_centre=05", ("gear.brace.over_centre", 5.0)),
        ("bay.item[pipe a=b].name=x=y", ("bay.item[pipe a=b].name", "x=y")),
        ("""bay.item["pipe [a]=b"].required=4""", ("""bay.item["pipe [a]=b"].required""", 4)),
        ("question=a = b", ("question", "a = b")),
        ("question=", ("question", "")),
    ],
)
def test_a_change_is_divided_where_it_is_meant(text: str, pair: tuple[str, object]) -> None:
    assert change(text) == pair


def test_of_two_changes_of_one_path_the_later_counts_and_keeps_its_turn() -> None:
    texts = ["gear.trunnion[0]=1", "gear.trunnion=[2, 3]", "gear.trunnion[0]=4"]
    assert list(changed(texts).items()) == [("gear.trunnion", [2, 3]), ("gear.trunnion[0]", 4)]


def test_compare_takes_changes_of_either_study() -> None:
    same = run.invoke(app, ["compare", str(STARTER), "--set-first", "gear.brace.over_centre=5"])
    assert same.exit_code == 0, same.output
    assert "nothing changed" in same.stdout
    worse = run.invoke(app, ["compare", str(STARTER), "--set", "gear.brace.over_centre=9"])
    assert worse.exit_code == 1, worse.output
    assert "to:   My nose gear with gear.brace.over_centre=9" in worse.stdout
    assert "NOW SHORT  over-centre offset <=" in worse.stdout
    twice = [word for offset in (9, 5) for word in ("--set", f"gear.brace.over_centre={offset}")]
    later = run.invoke(app, ["compare", str(STARTER), *twice])
    assert "to:   My nose gear with gear.brace.over_centre=5\n" in later.stdout and "nothing changed" in later.stdout
    back = run.invoke(app, ["compare", str(STARTER), str(STARTER), "--set-first", "gear.brace.over_centre=9"])
    assert back.exit_code == 0, back.output
    assert "now good   over-centre offset <=" in back.stdout


def test_starter_writes_a_study_that_solves_and_never_overwrites(tmp_path: Path) -> None:
    assert run.invoke(app, ["starter", str(tmp_path / "mine")]).exit_code == 0
    study = tmp_path / "mine" / "study.toml"
    assert run.invoke(app, ["check", str(study)]).exit_code in (0, 1)
    again = run.invoke(app, ["starter", str(tmp_path / "mine")])
    assert again.exit_code == 2
    assert "exists already" in again.stderr


def test_schema_is_json() -> None:
    assert json.loads(run.invoke(app, ["schema"]).stdout)["properties"]["gear"]


def test_review_writes_everything_with_a_manifest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One whole run, on the demo, with a name full of markup that must stay text; films of few frames, for every frame
    is drawn in the same way (tests/drawing/test_animation.py)."""
    monkeypatch.setattr(review, "FRAMES", 6)
    monkeypatch.setattr(review, "FPS", 4.0)
    out = tmp_path / "out"
    arguments = ["review", str(MERROW), "-o", str(out), "--set", 'title="=cmd <b>$x_1$</b> & \\u05d0"']
    result = run.invoke(app, arguments)
    assert result.exit_code == 1, result.output
    names = {p.name for p in out.iterdir()}
    wanted = {
        "results.json",
        "stroke.csv",
        "side-view.svg",
        "side-view.png",
        "load-share.png",
        "retraction.gif",
        "retraction.mp4",
        "extension.mp4",
        "keep-out.dxf",
        "keep-out.stl",
        "keep-out.json",
        "manifest.json",
    }
    assert wanted <= names
    manifest = json.loads((out / "manifest.json").read_text())
    assert names - {"manifest.json"} == set(manifest["files"])
    assert "<b>" not in (out / "side-view.svg").read_text()
    results = json.loads((out / "results.json").read_text())
    assert results["sensitivity"]["nose_share_min"]["value"] == pytest.approx(results["headline"]["nose_share_min"])
    assert "Which dimension moves which result" in (out / "review.html").read_text()
    rows = (out / "stroke.csv").read_text().splitlines()
    assert len(rows) == 1 + 181


def test_handoff_verify_and_what_changed(tmp_path: Path) -> None:
    """A package is good, a changed file is not, and a lower allowance shows as a smaller keep-out."""
    old, new = tmp_path / "old", tmp_path / "new"
    first = run.invoke(app, ["handoff", str(STARTER), "-o", str(old), "--set", "keep_out.allowance=2"])
    assert first.exit_code == 0, first.output
    assert run.invoke(app, ["verify", str(old)]).exit_code == 0
    second = run.invoke(app, ["handoff", str(STARTER), "-o", str(new), "--against", str(old)])
    assert second.exit_code == 0, second.output
    assert "shrunk by" in second.stdout
    assert run.invoke(app, ["verify", str(new), "--study", str(STARTER)]).exit_code == 0
    other = tmp_path / "study.toml"
    other.write_text(STARTER.read_text() + "\n")
    assert run.invoke(app, ["verify", str(new), "--study", str(other)]).exit_code == 1
    stl = new / "keep-out.stl"
    stl.write_bytes(stl.read_bytes()[:-4] + b"\0\0\0\1")
    spoiled = run.invoke(app, ["verify", str(new)])
    assert spoiled.exit_code == 1
    assert "FAILS" in spoiled.stdout


def test_sensitivity_says_which_dimension_moves_a_result() -> None:
    result = run.invoke(app, ["sensitivity", str(MERROW), "--result", "tip_back_deg"])
    assert result.exit_code == 0, result.output
    assert "least tip-back angle [tip_back_deg]" in result.stdout
    assert result.stdout.index("airframe.main_gear.contact[0]") < result.stdout.index("loading.empty.at[0]")


def test_sensitivity_of_a_result_that_there_is_not() -> None:
    result = run.invoke(app, ["sensitivity", str(MERROW), "--result", "over_center"])
    assert result.exit_code == 2
    assert "'over_centre_mm'" in result.stderr


def test_sensitivity_as_csv_and_files(tmp_path: Path) -> None:
    asked = ["sensitivity", str(MERROW), "--result", "trail_mm", "--csv", "-o", str(tmp_path / "out")]
    result = run.invoke(app, [*asked, "--set", "gear.leg.axle_offset=26"])
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("result,value,")
    assert (tmp_path / "out" / "sensitivity.csv").read_text(encoding="utf-8") == result.stdout
    assert '"gear.leg.axle_offset=26"' in (tmp_path / "out" / "sensitivity.json").read_text(encoding="utf-8")
