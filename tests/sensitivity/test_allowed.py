"""What a dimension may vary by, against the findings of the study solved again: they hold a little inside, and are lost
a little beyond, one way or the other."""

from __future__ import annotations

from typing import Any

import pytest

from linkage.checks import Finding
from linkage.plane.duals import Dual
from linkage.sensitivity import Line, Row, sensitivity
from linkage.sensitivity.model import Rival
from linkage.sensitivity.moving import _extreme
from tests.sensitivity.test_words import altered, row
from tests.studies import MERROW, OSTREL, derivatives, solution, table

STRAIGHT = 0.05
"""Part by which a finding may be lost before or after the straight line says so, in the cases below."""


def found(made: Any, code: str, subject: str, at: str = "") -> Finding:
    (one,) = (f for f in made.findings if f.code == code and f.subject.endswith(subject) and f.at.startswith(at))
    assert isinstance(one, Finding)
    return one


def test_a_bound_on_the_dead_length_counts_the_travel_left_at_the_lock() -> None:
    for path, left in ((MERROW, 2.0), (OSTREL, 2.54)):
        line = derivatives(path).line("actuator_dead_length_mm")
        judged = found(solution(path), "dead-length", "actuator ends")
        assert line.margin == judged.margin
        least = line.value - judged.margin
        assert line.bounds[0].required == f">= {least:g}, {2 * left:g} of it for travel left at the lock"
    plain = sensitivity(altered({"gear.actuator.travel_left_at_lock": 0}), ["dead_length"]).lines[0]
    assert plain.bounds[0].required == ">= 150"


@pytest.mark.parametrize("most", [2.0, 2.5])
def test_the_push_is_bounded_by_what_the_actuator_can_do(most: float) -> None:
    made = altered({"limits.load_factor": {"max": most, "source": "test"}})
    s = sensitivity(made, ["push"])
    judged = found(made, "actuator-force", "push against gravity")
    for n, line in enumerate(s.lines, 1):
        assert line.margin == pytest.approx(judged.margin * n / most, rel=1e-12)
        assert line.value + line.margin == pytest.approx(2600 * n / most, rel=1e-12)
    assert s.lines[1].bounds[0].required == ("<= 2600" if most == 2.0 else "<= 2080, as <= 2600 at 2.5 g")


def test_the_cg_is_judged_with_the_gear_up_too() -> None:
    s = derivatives(MERROW)
    for name, subject in (("cg_min_up_fs_mm", "CG forward"), ("cg_max_up_fs_mm", "CG aft")):
        judged = found(solution(MERROW), "cg", subject, "gear up")
        assert (s.line(name).value, s.line(name).margin) == pytest.approx((judged.actual, judged.margin), rel=1e-12)
    wheel = row(s.line("cg_max_up_fs_mm"), "gear.mass[wheel, tyre and tube].mass")
    assert wheel.allowed == pytest.approx(s.line("cg_max_up_fs_mm").margin / wheel.derivative, rel=1e-12)


def test_a_name_within_another_is_another_item() -> None:
    post = {"butt_lines": [-60, 60], "centre": [1434, 950], "radius": 10}
    items = [{**post, "name": "rod to post", "required": 1}, {**post, "name": "post", "required": 60}]
    s = sensitivity(altered({"bay.item": items}))
    assert [len(s.line(f"gap to {name}").bounds) for name in ("rod to post", "post")] == [1, 1]
    assert s.line("gap to rod to post").margin == pytest.approx(s.line("gap to post").margin + 59, abs=0.1)


GAPS = [
    # the gas spring is nearest the door line, and the wheel comes down on it
    ("gap to door line", "gear.leg.swing_up", "tyre (grown)", -1),
    ("gap to door line", "gear.brace.lower_link", "tyre (grown)", 1),
    ("gap to oil cooler", "gear.trunnion[0]", "", -1),
    ("gap to firewall", "gear.leg.length", "", 1),
]


@pytest.mark.parametrize(("result", "path", "rival", "sense"), GAPS)
def test_a_gap_is_lost_where_it_is_said(result: str, path: str, rival: str, sense: int) -> None:
    line = derivatives(MERROW).line(result)
    one = row(line, path)
    assert one.governing.startswith(rival) and bool(one.governing) == bool(rival)
    assert holds(result, one, sense * (1 - STRAIGHT))
    assert not holds(result, one, sense * (1 + STRAIGHT))


def holds(result: str, one: Row, part: float) -> bool:
    """Whether the finding on a gap holds with one dimension changed by a part of what it may vary by."""
    path = str(one.dimension.path)
    where, _, index = path.partition("[")
    here: Any = table(MERROW)
    for key in where.split("."):
        here = here[key]
    value = here[int(index[:-1])] if index else here
    changed: Any = value + part * one.allowed
    if index:
        changed = [changed if i == int(index[:-1]) else v for i, v in enumerate(here)]
    return found(altered({where: changed}), "gap", result.removeprefix("gap")).passed


def test_rivals_are_in_the_files_words() -> None:
    from linkage.report.sensitivity_files import lines

    text = "\n".join(lines(sensitivity(solution(MERROW), ["gap to door line"])))
    assert "+/- 1.25 deg, for tyre (grown) to door line at 92.0 deg swing" in text
    assert "  0 mm/deg" in "\n".join(lines(sensitivity(solution(MERROW), ["gap to exhaust tailpipe R"])))


def test_the_next_loading_counts() -> None:
    """The inch study's CG is most forward with full tanks; with a CG further aft it is with empty ones."""
    line = derivatives(OSTREL).line("cg_min_fs_mm")
    aside = [r for r in line.rows if r.governing]
    assert aside
    assert all(r.allowed < line.margin / abs(r.derivative) for r in aside if r.derivative)


def test_short_already_leaves_rivals_out() -> None:
    line: Line = derivatives(MERROW).line("nose_share_min")
    assert all(r.derivative and not r.governing for r in line.rows)


def test_places_that_tie_over_the_stroke_are_both_looked_at() -> None:
    places = [
        Rival(Dual(5.0, [1.0, 2.0]), "here"),
        Rival(Dual(5.0, [1.0, -3.0]), "there"),
        Rival(Dual(6.0, [0.0, 0.0]), "beyond"),
    ]
    one = _extreme("x", "x", "mm", places, ("two places tie", ""))
    assert [list(n.slope) for n in one.others] == [[1.0, -3.0]]
    assert [x.which for x in one.rivals] == ["beyond"]


def test_a_mass_that_may_not_differ_follows_the_limit_that_counts() -> None:
    """With one pilot of 176 lb the CG is most aft by what the heaviest may weigh, most forward by the lightest."""
    pilot = {"name": "pilot", "min": 176, "max": 176, "at": [109, 37]}
    s = sensitivity(altered({"loading.item": [pilot]}, OSTREL), ["cg_m"])
    for line in s.lines:
        limits = {r.dimension.name for r in line.rows if r.derivative and "item[pilot].m" in r.dimension.name}
        assert limits == {f"loading.item[pilot].{'max' if 'max' in line.name else 'min'}"}, line.name


def test_nothing_that_may_be_aboard() -> None:
    s = sensitivity(altered({"loading.item": []}, OSTREL), ["cg_m", "nose", "tip_back"])
    for line in (s.line("cg_min_fs_mm"), s.line("cg_max_fs_mm")):
        assert line.value == pytest.approx(103.6 * 25.4, rel=1e-12)
        assert row(line, "loading.empty.at[0]").derivative == pytest.approx(25.4, rel=1e-12)
    assert s.line("tip_back_deg").rows


def test_charts_are_of_effects() -> None:
    from linkage.drawing.sensitivity_chart import by_effect, effect, title

    line = derivatives(MERROW).line("gap to door line")
    sizes = [abs(effect(r)) for r in by_effect(line)]
    assert sizes == sorted(sizes, reverse=True)
    assert min(sizes) > 0
    assert title(line).endswith("bay.item[door line] shifted in WL moves it most")
