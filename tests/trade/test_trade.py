"""Trade studies: what is varied, that a point is what check says, what cannot be computed stays, files and pictures."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from linkage.checks.pairing import by_subject
from linkage.cli import app
from linkage.document.reader import read
from linkage.drawing.trade_charts import caption, contours, curves
from linkage.drawing.trade_notes import reasons
from linkage.errors import DocumentError
from linkage.report.headline import clean, headline
from linkage.report.trade_files import chosen, trade_csv, trade_json, trade_lines
from linkage.solution import solve
from linkage.trade import Point, Trade, Vary, run, varies
from linkage.trade.answer import answer, telling
from linkage.trade.run import NOT_REACHED
from tests.studies import MERROW, table
from tests.topologies import STARTER
from tests.trade.cases import OFFSET, PIN, demo, synthetic, work


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (["gear.brace.over_center=2:8:3"], "gear.brace.over_centre"),
        ([f"{OFFSET}=2:eight:3"], "'eight' is not a number"),
        ([f"{OFFSET}=2:8:1"], "at least 2"),
        ([f"{OFFSET}=2:8:2.5"], "a whole number of values"),
        ([f"{OFFSET}=5:5:3"], "low below high"),
        ([f"{OFFSET}=8:2:3"], "low below high"),
        ([f"{OFFSET}=5"], "at least two; for one design use --set"),
        ([f"{OFFSET}=5,5,6"], "every value once"),
        ([f"{OFFSET}=2:inf:3"], "finite"),
        ([f"{OFFSET}"], "PATH=LOW:HIGH:COUNT"),
        ([f"{OFFSET}=2:8"], "PATH=LOW:HIGH:COUNT"),
        ([f"{OFFSET}=2:8:200", f"{PIN}=1100:1200:200"], "200 x 200 = 40000 points; expected at most 20000"),
        ([f"{OFFSET}=2:8:30000"], "30000 points"),
        ([f"{OFFSET}=2:8:3", f"{OFFSET}=3:4:3"], "given 2 times; expected two different numbers"),
        ([f"{OFFSET}=2:8:3", f"{PIN}=1:2:3", "gear.leg.length=1:2:3"], "given 3 times; expected one or two"),
        (["gear.brace.upper_pin=2:8:3"], "is a list; expected a number, such as gear.brace.upper_pin[0]"),
        (["gear.brace=2:8:3"], "is a table"),
        (["gear.folds=2:8:3"], "is a text; expected a path to a number, such as gear.brace.over_centre"),
        (["gear.leg.stop=0,1"], "is true or false"),
        ([f"{OFFSET}=2 kg:8 kg:3"], "'2 kg' has no unit of length; expected one of mm"),
        ([f"{OFFSET}=2:8:3 mm"], "'3 mm' is not a number"),
        ([f"{OFFSET}=2,3,"], "'' is not a number"),
        (["loading.item[fule].max=2,3"], "loading.item[fuel].max"),
        ([f"{OFFSET}=4:4.0000000000001:5"], "values that differ in 12 digits"),
    ],
)
def test_bad_input(texts: list[str], words: str) -> None:
    with pytest.raises(DocumentError) as err:
        varies(texts, table())
    assert words in str(err.value)


@pytest.mark.parametrize("value", [4.2, 9.0])
def test_a_point_is_what_check_says_to_the_last_digit(value: float) -> None:
    point = next(p for p in demo().points if p.values == (value, 1140.0))
    lone = solve(read(MERROW, {OFFSET: value, PIN: 1140.0}), closely=False)
    assert dict(point.results) == headline(lone.results)
    assert list(point.margins.values()) == [f.margin for f in by_subject(lone.findings).values()]
    assert len(point.short) == sum(not f.passed for f in lone.findings)
    assert (point.worst, point.worst_margin) == (lone.findings[0].subject, lone.findings[0].margin)
    rows = list(csv.DictReader(io.StringIO(trade_csv(demo()))))
    row = next(r for r in rows if (r[f"{OFFSET} [mm]"], r[f"{PIN} [mm]"]) == (repr(value), "1140.0"))
    for key, number in headline(lone.results).items():
        if isinstance(number, float):
            assert float(row[key]) == number


def test_what_cannot_be_computed_stays_with_its_reason() -> None:
    trade = demo()
    assert [p.values for p in trade.points] == [(x, y) for x in (-1.0, 4.2, 9.0) for y in (1140.0, 1300.0)]
    assert trade.computed.tolist() == [[False, False], [True, False], [True, False]]
    assert "puts the knee on or before centre" in trade.points[0].reason
    assert trade.points[3].reason.startswith("cannot be computed: ")
    assert sum(reasons(trade).values()) == 4
    assert "4 of 6 points are not computed" in answer(trade).sentence
    assert len(trade_csv(trade).splitlines()) == 7
    assert [p["reason"] == "" for p in json.loads(trade_json(trade))["points"]] == [
        False,
        False,
        True,
        False,
        True,
        False,
    ]


def test_limits_of_results_are_those_of_the_findings() -> None:
    point = next(p for p in demo().points if p.computed)
    assert dict(point.limits["over_centre_mm"]) == pytest.approx({">=": 1.5, "<=": 8.0})
    assert dict(point.limits["nose_share_min"]) == pytest.approx({">=": 0.15})
    assert dict(point.limits["actuator_push_peak_2g_n"]) == pytest.approx({"<=": 2600.0})
    assert demo().limit("least_margin_mm", ">=").tolist()[1][0] == 0.0


def test_a_union_that_the_engine_refuses_is_joined_another_way() -> None:
    """This design made the geometry engine fail at full precision."""
    assert work(MERROW, f"{OFFSET}=3,4", f"{PIN}=1080,1090")((3.0, 1080.0)).computed


def test_answer_over_one_number() -> None:
    found = answer(synthetic([-1, 1, 3, -3, None]))
    assert found.sentence == (
        "x 1 to 2 mm keeps every finding but b, short in the present design; 1 of 5 points are not computed"
    )
    assert found.good.tolist() == [False, True, True, False, False]
    (x,), left = found.edge
    good = x[left >= 0]
    assert (good[0], good[-1]) == (0.5, 2.5)
    assert np.all(np.isnan(left[x > 3]))
    assert answer(synthetic([-1, 1, -1, 1, 1])).sentence.startswith("x 1 mm and 3 to 4 mm keeps")
    assert answer(synthetic([-1, -1, -1, -1, -1])).sentence.startswith("No point keeps every finding but b")
    assert answer(synthetic([1, 1, 1, 1, 1])).sentence.startswith("Every point keeps every finding but b")
    assert answer(synthetic([None] * 5)).sentence == "No point can be computed"
    assert "short at every point" in answer(synthetic([-1, 1, 1, 1, 1], present=False)).sentence


def test_answer_over_two_numbers() -> None:
    margins = [-1, -1, -1, -1, 1, 1, -1, 1, 1]
    found = answer(synthetic(margins, (0, 1, 2), (0, 1, 2)))
    assert found.sentence.startswith(
        "4 of 9 points keep every finding but b, short in the present design: within x 1 to 2"
    )
    assert found.sentence.endswith("with y 1 to 2 mm")


def test_results_by_key_and_by_finding() -> None:
    trade = synthetic([-1, 1, 3, -3, None])
    assert chosen(trade, ["least_margin_mm", "b >="]) == ("least_margin_mm", "b >= (x), mm")
    assert chosen(trade, []) == telling(trade)
    assert telling(trade)[0] == "a >= (x), mm"
    with pytest.raises(DocumentError, match="nothing like it"):
        chosen(trade, ["nothing like it"])


def test_tables_are_safe_for_a_spreadsheet_and_say_what_was_stopped() -> None:
    trade = synthetic([-1, 1, 3, -3, None])
    rows = list(csv.reader(io.StringIO(trade_csv(trade))))
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "@", "\t")]
    assert json.loads(trade_json(trade))["varied"][0]["values"] == [0, 1, 2, 3, 4]
    late = Point((4.0,), reason=NOT_REACHED)
    stopped = Trade("t", "0", (), trade.varies, (*trade.points[:4], late), trade.present, stopped=True)
    text = "\n".join(trade_lines(stopped, telling(stopped)))
    assert "(stopped by hand)" in text
    assert NOT_REACHED in text
    assert clean(stopped.points[-1].worst_margin) is None


@pytest.mark.parametrize("margins", [[-1, 1, 3, -3, None], [None] * 4 + [1], [1] * 5, [-1] * 5])
def test_curves_of_any_outcome(margins: Any) -> None:
    trade = synthetic(margins)
    figure = curves(answer(trade), ["least_margin_mm", "gap_mm"])
    assert len(figure.axes) == 2
    assert answer(trade).sentence in caption(answer(trade))


@pytest.mark.parametrize(
    "margins",
    [[-1, -1, -1, -1, 1, 1, -1, 1, 1], [None, 1, None, 1, -1, 1, None, 1, None], [None] * 8 + [1], [1] * 9],
)
def test_contours_of_any_outcome(margins: Any) -> None:
    trade = synthetic(margins, (0, 1, 2), (0, 1, 2))
    for key in ("least_margin_mm", "gap_mm"):
        figure = contours(answer(trade), key)
        figure.canvas.draw()
        assert figure.axes[0].get_xlabel() == "gear.x, mm"


class Counted:
    """In place of the solver: which designs it was asked for."""

    def __init__(self, present: float | None) -> None:
        self.varies, self.sha256, self.asked = (Vary("gear.x", (1.0, 2.0, 3.0), "mm", present),), "0", []

    def __call__(self, values: Any) -> Point:
        self.asked.append(tuple(values))
        return Point(tuple(values), {"a_mm": sum(values)})


def test_every_design_is_solved_once() -> None:
    """The present one too, whether it is among the points, beside them, solved already, or unknown."""
    for present, known, asked in (
        (2.0, None, [(2.0,), (1.0,), (3.0,)]),
        (2.5, None, [(2.5,), (1.0,), (2.0,), (3.0,)]),
        (2.0, Point((2.0,), {"a_mm": 2.0}), [(1.0,), (3.0,)]),
        (None, None, [(1.0,), (2.0,), (3.0,)]),
    ):
        work: Any = Counted(present)
        trade = run(work, "t", (), None, present=known)
        assert work.asked == asked
        assert [p.values for p in trade.points] == [(1.0,), (2.0,), (3.0,)]
        assert trade.result("a_mm").tolist() == [1.0, 2.0, 3.0]
        assert (trade.present.values if trade.present else None) == (None if present is None else (present,))


def test_command(tmp_path: Path) -> None:
    out = tmp_path / "out"
    arguments = ["trade", str(MERROW), "--vary", f"{OFFSET}=4:5:2", "--set", "limits.nose_share.min=0.14"]
    done = CliRunner().invoke(app, [*arguments, "--workers", "1", "--result", "least_margin_mm", "-o", str(out)])
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith("Every point keeps every finding\n")
    assert {p.name for p in out.iterdir()} == {"trade.csv", "trade.json", "trade.md", "trade.svg", "trade.png"}
    wrong = CliRunner().invoke(app, [*arguments, "--workers", "1", "--result", "least_margin"])
    assert wrong.exit_code == 2
    assert "least_margin_mm" in wrong.stderr


def test_a_study_that_is_wrong_elsewhere_is_told_before_the_work(tmp_path: Path) -> None:
    """And the varied number itself may be wrong in the file."""
    wrong = tmp_path / "study.toml"
    wrong.write_text(MERROW.read_text().replace("over_centre = 5 ", "over_centre = -5 "))
    work(wrong, f"{OFFSET}=2,3").refuse()
    work(MERROW, f"{OFFSET}=-2,-3").refuse()
    for change, words in (("strut.stroke=x", "strut.stroke: 'x'"), ("units.length=furlong", "units.length: 'furlong'")):
        told = CliRunner().invoke(app, ["trade", str(MERROW), "--vary", f"{OFFSET}=2,3", "--set", change])
        assert told.exit_code == 2
        assert words in told.stderr
        assert told.stdout == ""
    lacking = CliRunner().invoke(app, ["trade", str(STARTER), "--vary", "limits.tip_back.min=10,20"])
    assert (lacking.exit_code, lacking.stdout) == (2, "")
    assert "limits.tip_back.source: is missing" in lacking.stderr


@pytest.mark.parametrize(("vary", "code"), [(f"{OFFSET}=-3,-2", 2), (f"{PIN}=1000,1300", 3)])
def test_exit_code_where_nothing_is_computed(vary: str, code: int, tmp_path: Path) -> None:
    arguments = ["trade", str(STARTER), "--vary", vary, "--workers", "1", "--result", "over_centre_mm"]
    done = CliRunner().invoke(app, [*arguments, "-o", str(tmp_path)])
    assert done.exit_code == code, done.output
    assert done.stdout.startswith("No point can be computed\n")
    assert len(json.loads((tmp_path / "trade.json").read_text())["points"]) == 2


def test_stopped_before_anything_was_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An earlier answer in the folder stays."""
    import linkage.report.trade_study as study

    none = replace(
        synthetic([None, None], (0, 1)), points=tuple(Point((v,), reason=NOT_REACHED) for v in (0.0, 1.0)), stopped=True
    )
    monkeypatch.setattr(study, "trade_study", lambda *given: study.Done(none, ()))
    told = CliRunner().invoke(
        app, ["trade", str(MERROW), "--vary", "gear.x=0,1", "--workers", "1", "-o", str(tmp_path)]
    )
    assert told.exit_code == 130
    assert told.stdout.startswith("Stopped before a point was computed")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("wanted", "words"), [("", "''"), ("least_margin", "expected least_margin_mm, or a part")])
def test_results_that_there_are_not(wanted: str, words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        chosen(synthetic([-1, 1, 3, -3, None]), [wanted])
