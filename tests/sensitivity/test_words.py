"""Ties, gears without a knee, tolerances of nought, findings short already, names that there are not; the files."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from linkage.document.reader import Source, parse
from linkage.errors import DocumentError
from linkage.report.sensitivity_files import lines, sensitivity_csv, sensitivity_json, write_sensitivity
from linkage.sensitivity import Line, sensitivity
from linkage.solution import Solution, solve
from tests.studies import MERROW, OSTREL, derivatives, solution, table
from tests.topologies import STARTER, solved, study


def altered(changes: dict[str, Any], path: Path = MERROW) -> Solution:
    """The study changed, without what takes time and moves no derivative: further states, emergency extension."""
    plain = table(path, {"state": [], "keep_out.tolerance": "5 mm", **changes})
    del plain["gear"]["emergency"]
    return solve(Source(path, "0" * 64, "", parse(plain, path.name)), closely=False)


def row(line: Line, name: str) -> Any:
    return next(r for r in line.rows if r.dimension.name == name)


def test_allowance_is_the_margin_over_the_derivative() -> None:
    s = sensitivity(solution(MERROW), ["transmission_angle_min_deg"])
    line = s.lines[0]
    one = row(line, "gear.brace.upper_link")
    assert line.margin == pytest.approx(line.value - 20.0, rel=1e-12)
    assert one.allowed == pytest.approx(line.margin / abs(one.derivative), rel=1e-12)
    assert one.stated == 0.15
    assert one.used == pytest.approx(0.15 / one.allowed, rel=1e-12)
    stated = [r for r in line.rows if r.stated]
    assert line.corner == pytest.approx(sum(abs(r.derivative) * r.stated for r in stated), rel=1e-12)
    assert line.spread < line.corner


def test_the_order_and_ten_are_shown() -> None:
    """What may vary least stands first; where nothing bounds a result, what moves it most."""
    bounded, free = sensitivity(solution(OSTREL), ["tip_back_deg", "trail_mm"]).lines
    rooms = [r.allowed * r.dimension.factor for r in bounded.rows]
    assert rooms == sorted(rooms)
    assert bounded.rows[0].governing == ""
    effects = [abs(r.derivative / r.dimension.factor) for r in free.rows]
    assert effects == sorted(effects, reverse=True)
    assert len(bounded.worst) == 10 < len(bounded.rows)


def test_units_are_those_of_the_study() -> None:
    """In the inch study a slope is per inch: 25.4 times that per mm, and what it may vary by is in inches."""
    line = sensitivity(solution(OSTREL), ["over_centre_mm"]).lines[0]
    one = line.rows[0]
    assert (one.dimension.unit, one.derivative) == ("in", pytest.approx(25.4, rel=1e-15))
    assert one.allowed == pytest.approx(line.margin / 25.4, rel=1e-12)


def test_a_finding_short_already_leaves_nothing() -> None:
    s = sensitivity(solution(MERROW), ["nose_share_min"])
    assert s.lines[0].margin is not None and s.lines[0].margin < 0
    assert {r.allowed for r in s.lines[0].rows} == {0.0}
    assert not any(r.too_wide for r in s.lines[0].rows)
    text = "\n".join(lines(s))
    assert "SHORT" in text
    assert "nothing, short already" in text


def test_a_tolerance_too_wide_is_said() -> None:
    narrow, made = altered({}), altered({"tolerances.pin_position": 9.0})
    s = sensitivity(made, ["gap to exhaust crossover"])
    wide = {r.dimension.name for r in s.lines[0].rows if r.too_wide}
    assert wide == {"gear.trunnion[0]", "gear.brace.upper_pin[0]"}
    assert "tolerance too wide" in "\n".join(lines(s))
    assert [f.margin for f in made.findings] == [f.margin for f in narrow.findings]  # it is no finding


def test_tolerances_of_nought_are_exact_and_use_nothing() -> None:
    s = derivatives(MERROW)
    assert "tolerances.axle" in s.exact
    one = row(s.line("gap to firewall"), "gear.leg.length")
    assert (one.stated, one.used) == (0.0, 0.0)
    text = "\n".join(lines(s))
    assert "Left out or 0 in the study, so taken as exact" in text
    assert "0: exact" in text


def test_a_study_without_tolerances() -> None:
    s = sensitivity(altered({"tolerances": {}}, OSTREL), ["over_centre_mm"])
    assert not s.stated
    text = "\n".join(lines(s))
    assert "No tolerance of a dimension is stated" in text
    assert "exact" not in text.partition("over-centre offset")[2]
    assert {r.stated for r in s.lines[0].rows} == {None}


def test_loadings_that_tie() -> None:
    """Pilot and passenger of the demo sit at the same place: either may be the one cut off by the greatest mass. For
    the gear, and even for their own limits, that makes no difference; where one of them sits it does."""
    line = derivatives(MERROW).line("nose_load_max_n")
    assert line.tied == "two loadings tie: pilot and passenger may be exchanged"
    assert {r.dimension.name for r in line.rows if r.kink} == {
        "loading.item[pilot].at[0]",
        "loading.item[passenger].at[0]",
        "loading.item[pilot].at[1]",
        "loading.item[passenger].at[1]",
    }


def test_where_two_sides_tie_both_ways_are_real() -> None:
    """The brace is a plate on either side of the leg: moving one face of the leg closes one gap and opens the other."""
    line = derivatives(MERROW).line("self gap")
    kinks = [r for r in line.rows if r.kink]
    assert "two sides tie" in line.tied
    assert {r.dimension.name for r in kinks} >= {
        "gear.part[outer cylinder].butt_lines[0][0]",
        "gear.part[outer cylinder].butt_lines[0][1]",
    }
    assert all("butt_lines" in r.dimension.name for r in kinks)
    assert " *" in "\n".join(lines(sensitivity(solution(MERROW), ["self gap"])))


def test_places_that_tie() -> None:
    """Two wheels in one place are as near to a post: what moves both moves the gap, what makes one larger closes it in
    one sense only. Both slopes of the least are looked at, so the steepest is given."""
    post = {"name": "post", "butt_lines": [-60, 60], "required": 1, "centre": [1434, 900], "radius": 10}
    wheel = {"name": "tyre (grown)", "centre": "axle", "radius": 185.7, "butt_lines": [-65, 65], "on_piston": True}
    made = altered(
        {
            "bay.item": [post],
            "gear.part": [wheel, {**wheel, "name": "twin"}],
            "gear.neighbours": [["tyre (grown)", "twin"]],
        }
    )
    line = sensitivity(made).line("gap to post")
    assert line.tied.startswith("two places tie within")
    assert {r.dimension.name for r in line.rows if r.kink} == {
        "gear.part[tyre (grown)].radius",
        "gear.part[twin].radius",
    }
    assert row(line, "gear.part[twin].radius").derivative == pytest.approx(-1.0, rel=1e-12)
    assert row(line, "bay.item[post] shifted in WL").derivative == pytest.approx(1.0, abs=1e-3)


def test_a_gear_without_a_knee() -> None:
    s = sensitivity(solved("telescoping"))
    for name in ("over_centre_mm", "over_centre_deg", "dead_centre_overswing_deg"):
        line = s.line(name)
        assert not line.rows
        assert line.tied
    text = "\n".join(lines(s))
    assert "no derivative: a brace without a knee: no over-centre offset" in text
    assert "no derivative: no dead centre" in text
    assert s.line("driven_rotation_deg").rows[0].dimension.name == "gear.leg.swing_up"


def test_contact_has_words_instead_of_a_derivative() -> None:
    item = {"name": "in the way", "butt_lines": [-60, 60], "required": 1, "centre": [1434, 663], "radius": 10}
    s = sensitivity(altered({"bay.item": [item]}))
    line = s.line("gap to in the way")
    assert not line.rows
    assert line.tied == "in contact: a depth is not differentiated"


def test_the_depth_of_a_contact_is_that_of_the_finding() -> None:
    """Of a cylinder of 36 mm half width whose middle lies deep in a block, not its half width."""
    block = [[800, 600], [900, 600], [900, 400], [800, 400]]
    made = altered({"bay.item": [{"name": "block", "butt_lines": [35, 40], "required": 0, "outline": block}]})
    (judged,) = (f for f in made.findings if f.code == "gap")
    line = sensitivity(made, ["gap to block"]).lines[0]
    assert judged.actual < -50.0
    assert (line.value, line.margin) == (judged.actual, judged.margin)
    assert line.note == f"{judged.subject} at {judged.at}"


@pytest.mark.filterwarnings("error")
def test_a_bar_without_length_is_a_disc() -> None:
    """Both of its ends at the axle: the same derivatives as of a disc there."""
    post = {"name": "post", "butt_lines": [-60, 60], "required": 1, "centre": [1434, 950], "radius": 10}
    same = {"name": "wheel", "butt_lines": [-65, 65]}
    bar = {**same, "from": "axle", "to": {"along": 594, "offset": 25}, "width": 371.4}
    disc = {**same, "centre": "axle", "radius": 185.7}
    one, other = (
        sensitivity(altered({"bay.item": [post], "gear.part": [part], "gear.neighbours": []}), ["gap to post"]).lines[0]
        for part in (bar, disc)
    )
    assert row(one, "gear.leg.swing_up").derivative == pytest.approx(row(other, "gear.leg.swing_up").derivative)
    assert row(one, "gear.part[wheel].width").derivative == pytest.approx(-0.5)


def test_dimensions_that_move_nothing_are_named() -> None:
    s = derivatives(MERROW)
    assert "bay.item[forward arms].butt_lines[0][0]" in s.idle
    assert not {r.dimension.name for line in s.lines for r in line.rows} & set(s.idle)
    assert "Moves none of these results: " in "\n".join(lines(s))


def test_names_of_results() -> None:
    some = sensitivity(solution(OSTREL), ["over_centre_mm", "GAP TO"])
    assert some.lines[0].name == "over_centre_mm"
    assert len(some.lines) == 6
    with pytest.raises(DocumentError, match=r"--result: 'nose_shar_min'; expected one of 'nose_share_min'"):
        sensitivity(solution(OSTREL), ["nose_shar_min"])
    with pytest.raises(DocumentError, match="over_centre_mm"):
        sensitivity(solution(OSTREL), [""])


def test_csv_holds_every_derivative_and_no_formula() -> None:
    made = altered({"gear.part[0].name": "=HYPERLINK(1)", "gear.neighbours": []})
    s = sensitivity(made)
    rows = list(csv.DictReader(io.StringIO(sensitivity_csv(s))))
    assert len(rows) == sum(max(len(line.rows), 1) for line in s.lines)
    assert not [v for r in rows for k, v in r.items() if v[:1] in "=@" and v]
    for r in rows:  # only numbers begin with a sign
        for value in r.values():
            if value[:1] in ("+", "-") and value:
                float(value)
    first = next(r for r in rows if r["result"] == "trail_mm")
    assert float(first["derivative"]) == s.line("trail_mm").rows[0].derivative


def test_json_is_plain() -> None:
    s = derivatives(OSTREL)
    made = json.loads(sensitivity_json(s, solution(OSTREL), ["a=1"]))
    assert [r["name"] for r in made["results"]] == [line.name for line in s.lines]
    assert made["study"]["sha256"] == solution(OSTREL).source.sha256
    assert made["study"]["changes"] == ["a=1"]
    assert made["results"][1]["dimensions"][0]["may_vary_by"] is None  # nothing bounds it


def test_files(tmp_path: Path) -> None:
    s = sensitivity(solution(OSTREL), ["nose_share_max", "over_centre_mm"])
    told = write_sensitivity(s, solution(OSTREL), tmp_path / "out")
    names = {p.name for p in (tmp_path / "out").iterdir()}
    assert names == {f"sensitivity{end}" for end in (".csv", ".json", ".txt", "-1.svg", "-1.png")}
    assert "sensitivity-1.svg/.png" in told
    assert "greatest nose share" in (tmp_path / "out" / "sensitivity-1.svg").read_text(encoding="utf-8")
    # the same again: the same bytes
    before = {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()}
    write_sensitivity(s, solution(OSTREL), tmp_path / "out")
    assert before == {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()}


def test_differences_of_the_whole_solver() -> None:
    """What `noseleg check --set` would print with one dimension a little longer and shorter."""
    from linkage.report.headline import headline

    s, step = derivatives(MERROW), 0.02
    up, down = (headline(altered({"gear.brace.lower_link": 123 + x}).results) for x in (step, -step))
    for line in s.lines:
        if line.name in up:
            slope = sum(r.derivative for r in line.rows if r.dimension.name == "gear.brace.lower_link")
            size = max((abs(r.derivative) for r in line.rows), default=0.0)
            assert (up[line.name] - down[line.name]) / (2 * step) == pytest.approx(slope, rel=2e-5, abs=1e-6 * size)


def test_the_thickness_of_a_door_moves_its_gap() -> None:
    rib = {"name": "rib", "butt_lines": [-100, 100], "required": 5, "centre": [1500, 60], "radius": 10}
    made = solve(Source(STARTER, "0" * 64, "", study("door", {"bay.item": [rib]})), closely=False)
    line = sensitivity(made).line("gap to rib")
    assert line.note.startswith("nose door to rib")
    assert row(line, "gear.door[nose door].thickness").derivative == pytest.approx(-0.5, rel=1e-12)
