"""Rig card, tables, page, charts and command."""

from __future__ import annotations

import csv
import io
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from typer.testing import CliRunner

from linkage.actuation.drive import drive
from linkage.cli import app
from linkage.document.reader import read
from linkage.document.study import Study
from linkage.drawing.axes import new_figure
from linkage.drawing.tolerance_charts import gap_chart, offset_chart
from linkage.lock import lock_travel
from linkage.report.tolerance import lines, tables, write_tolerance
from linkage.report.tolerance.files import page, table_csv, tolerance_json
from linkage.stroke import gear_and_stroke
from linkage.tolerance import ToleranceStudy, rig_card, setting, spread, tolerance
from linkage.tolerance.criteria import criteria
from linkage.tolerance.followed import ASKED, DEAD, OFFSET
from linkage.tolerance.results import judge
from tests.studies import MERROW, OSTREL, changed
from tests.tolerance.bench import merrow, set_to

LUG = "gear.brace.lug.along"
NASTY = {
    "bay.item[0].name": "=HYPERLINK(1)",
    "bay.item[1].name": "<script>alert(1)</script> $x_1$",
    "title": "<b>M2R</b>",
}


@cache
def study() -> ToleranceStudy:
    return tolerance(read(MERROW, NASTY), 300, 5)


def test_a_range_ends_where_the_actuator_is_too_weak_with_friction() -> None:
    """The lug nearer the trunnion: the actuator runs to its own end, so the leg swings further. With the weight alone
    the range would go on to where the push with friction is too great."""
    lug = next(x for x in study().card.lines if x.name == "trunnion to lug")
    assert lug.ends[0] == ASKED and lug.drawn == 180.0
    longest = gear_and_stroke(changed({}))[1].actuator_length[-1]

    def made(along: float, swing: float) -> Study:
        return changed({LUG: along, "gear.leg.swing_up": swing})

    def left(along: float) -> float:
        swing = brentq(lambda s: gear_and_stroke(made(along, s))[1].actuator_length[-1] - longest, 90.0, 97.0)
        gear = made(along, float(swing))
        room = drive(gear, *gear_and_stroke(gear)).room
        assert room is not None
        return float(np.nanmin(room))

    assert 0.0 <= left(lug.low) < 1.0 and left(lug.low - 0.01) < 0.0


def test_a_card_where_all_that_is_judged_is_short_as_drawn() -> None:
    """No range can keep it; each measure keeps its own limits."""
    limits = {"over_centre": (30, 40), "nose_share": (0.16, 0.161), "steer_axis_tilt": (20, 25)}
    limits["transmission_angle"] = (89, 90)
    changes: dict[str, Any] = {f"limits.{k}": {"min": a, "max": b, "source": "test"} for k, (a, b) in limits.items()}
    changes |= {f"limits.{k}": {"min": 30, "source": "test"} for k in ("lock_travel", "lock_reserve")}
    changes |= {"gear.self_gap": 500, "gear.actuator.max_force": 100, "state": [], "bay.item": []}
    base = setting(changed(changes), MERROW.parent)
    card = rig_card(base, spread(base, 100, 1))
    assert set(card.left_out) == {c.result for c in criteria(base)} | {ASKED}
    assert (card.lines[0].low, card.lines[0].high) == (30.0, 40.0)


def test_without_a_rating_nothing_is_asked_of_the_actuator() -> None:
    base = setting(changed({"gear.actuator.max_force": None}), MERROW.parent)
    card = rig_card(base, spread(base, 100, 1))
    assert ASKED not in card.left_out and ASKED not in {end for line in card.lines for end in line.ends}


def test_a_measure_at_the_end_of_its_range_is_just_good() -> None:
    base = merrow()
    found = {line.name: line for line in study().card.lines}
    kept = [c for c in criteria(base) if c.result not in study().card.left_out]
    upper = found["upper link, between pins"]
    assert upper.low < upper.drawn < upper.high
    for end, way in ((upper.low, -1), (upper.high, 1)):
        for beyond, good in ((0.0, True), (0.01, False)):
            values = judge(base, set_to(base.plan, {"upper link": end - upper.drawn + way * beyond})).values
            margins = [float(c.margin(values[c.result])[0]) for c in kept]
            assert (min(margins) >= 0) == good
    offset = found["over-centre offset"]
    assert offset.high == 8.0
    assert offset.ends == (DEAD, OFFSET)  # the offset itself may come down to 1.5
    for low, good in ((offset.low + 1e-3, True), (offset.low - 2e-3, False)):
        alone = gear_and_stroke(changed({"gear.brace.over_centre": low}))
        travel = lock_travel(*alone, 0.0)
        assert travel is not None
        assert (travel.dead_travel >= 0.5) == good
    scale = found["pull that lifts the knee off its stop"]
    assert scale.low < scale.drawn <= scale.high + 1e-9
    assert found["actuator travel left at the lock"].low == pytest.approx(1.0, abs=0.01)
    assert study().card.left_out == ("least nose share, %",)


def test_a_measure_is_held_to_its_own_limits_where_the_drawn_gear_is_not() -> None:
    """Else the card would allow an offset below the least, or none, because nothing else gets short of it."""
    base = setting(changed({"gear.brace.over_centre": 0.9, "state": [], "bay.item": []}), MERROW.parent)
    card = rig_card(base, spread(base, 100, 1))
    offset = card.lines[0]
    assert OFFSET in card.left_out
    assert (offset.drawn, offset.low, offset.ends[0]) == (pytest.approx(0.9), 1.5, OFFSET)
    assert 1.5 < offset.high <= 8.0


def test_no_printed_end_of_a_range_lies_beyond_it() -> None:
    card, table = study().card, next(t for t in tables(study()) if t.name == "rig_card")
    compared = 0
    for line, row in zip(card.lines, table.rows, strict=True):
        said = row[table.heads.index("allowed")].split()
        if "to" in said:
            compared += 1
            assert line.low - 1e-9 * abs(line.low) <= float(said[0]), line.name
            assert float(said[2]) <= line.high + 1e-9 * abs(line.high) or line.high == pytest.approx(line.drawn)
    assert compared > 8


def test_a_clearance_says_which_part_comes_nearest() -> None:
    how = {line.name: line.how for line in study().card.lines}
    assert "outer cylinder" in how["clearance to oil cooler"]
    assert "outer cylinder to upper brace link" in how["clearance of the gear to itself"]


def test_an_offset_that_nothing_ends_is_open_above() -> None:
    """Where every result holds over the whole span the end of the span is no limit."""
    free = {"limits.over_centre": {"min": 1.5, "max": 40, "source": "x"}, "gear.actuator.travel_left_at_lock": 30}
    free |= {"limits.lock_travel": {"min": 0.0, "source": "x"}}
    base = setting(changed(free), MERROW.parent)
    offset = rig_card(base, spread(base, 100, 1)).lines[0]
    assert offset.name == "over-centre offset"
    assert (offset.low, offset.high) == (pytest.approx(1.5, abs=0.01), math.inf)
    assert offset.ends[1] == ""


def test_the_page_escapes_and_csv_runs_no_formula() -> None:
    html = page(study(), [])
    assert "<script>alert" not in html
    assert "&lt;script&gt;alert(1)" in html
    assert "does not replace the maintenance manual" in html
    assert "licensed engineer" in html
    for table in tables(study()):
        for row in csv.reader(io.StringIO(table_csv(table))):
            assert len(row) == len(table.heads)
            assert not row[0].startswith("=")
    assert "does not replace the maintenance manual" in "\n".join(lines(study()))


def test_json_has_no_number_that_json_lacks(tmp_path: Path) -> None:
    found = json.loads(tolerance_json(study()), parse_constant=lambda word: pytest.fail(word))
    assert found["samples"] == 300
    assert found["probability_lock"]["share"] == 1.0
    assert len(found["rig_card"]) == len(study().card.lines)
    said = write_tolerance(study(), tmp_path / "out")
    assert {p.name for p in (tmp_path / "out").iterdir()} >= {
        "rig_card.html",
        "rig_card.csv",
        "tolerance.json",
        "gaps.svg",
    }
    assert "rig_card.html" in said


def test_charts_show_what_they_say() -> None:
    figure = new_figure(900, 500)
    ax = offset_chart(figure.add_axes((0.1, 0.1, 0.8, 0.8)), study().spread, study().corners[0])
    words = " ".join(t.get_text() for t in ax.texts)
    assert "dead centre" in words
    assert "least wanted 1.5 mm" in words
    heights = ax.patches[0].get_data().values
    assert heights.sum() == pytest.approx(100.0)
    assert "locks in all of 300 gears" in ax.get_title(loc="left")
    ax = gap_chart(new_figure(900, 500).add_axes((0.3, 0.1, 0.6, 0.8)), study().spread, study().corners)
    marks = [line.get_xdata()[0] for line in ax.lines if line.get_marker() == "x"]
    wanted = [c.value - study().spread.statistic(c.result).criterion.low for c in study().corners if c.result != OFFSET]
    assert sorted(marks) == pytest.approx(sorted(wanted))
    assert any("$x_1$" in t.get_text() for t in ax.texts)


def test_command() -> None:
    few = ["tolerance", str(MERROW), "--samples", "200", "--set", "tolerances.distribution='normal'"]
    done = CliRunner().invoke(app, few)
    assert done.exit_code == 0
    assert "200 gears, seed 1, normal tolerances" in done.output
    assert "Rig card" in done.output
    for wrong, why in (
        (["--samples", "20"], "at least 100"),
        (["--workers", "2", "--cluster", "tcp://127.0.0.1:1"], "one of them"),
        (["--set", "tolerances.link_length=-1"], "tolerances.link_length"),
    ):
        done = CliRunner().invoke(app, ["tolerance", str(MERROW), *wrong])
        assert done.exit_code == 2
        assert why in done.output


def test_both_studies_file_tolerances() -> None:
    """The study in inches, with its actuator on the leg, gives a whole answer too."""
    done = CliRunner().invoke(app, ["tolerance", str(OSTREL), "--samples", "200"])
    assert done.exit_code == 0, done.output
    for words in ("The knee locks", "The offset is gone with", "Worst corners", "clearance to engine sump"):
        assert words in done.output


def test_expected_ranges_come_from_the_samples() -> None:
    line = next(x for x in study().card.lines if x.name == "over-centre offset")
    values = study().spread.values[OFFSET]
    assert line.expected == pytest.approx(tuple(np.percentile(values, (2.5, 97.5))))
    assert all(math.isfinite(x.drawn) for x in study().card.lines)
