"""Worked sheets: they agree with the solver on both studies, and they notice when the solver is wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from linkage.report.sheets import disagreements, sheets
from tests.studies import MERROW, OSTREL, changed, solution


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_every_sheet_agrees_with_the_solver(path: Path) -> None:
    found = sheets(solution(path).results)
    assert len(found) >= 12
    assert disagreements(found) == ()


def test_a_wrong_solver_number_is_a_finding() -> None:
    first = sheets(solution(MERROW).results)[0]
    wrong = replace(first, solver=first.solver * (1 + 1e-7))
    (finding,) = disagreements((first, wrong))
    assert not finding.passed
    assert "static trail" in finding.subject


def test_a_pocket_calculator_can_follow() -> None:
    """Relation and substitution of the trail, recomputed from what the sheet prints."""
    trail = next(s for s in sheets(solution(MERROW).results) if s.title == "static trail")
    assert "144.8" in trail.numbers()
    assert trail.text().startswith("t = ")
    from math import cos, pi, sin

    printed = trail.numbers().split(" = ")[1]
    assert eval(printed, {"sin": sin, "cos": cos, "pi": pi}) == pytest.approx(trail.result, rel=1e-6)


def test_sheets_of_a_leg_driven_and_a_brace_as_drawn() -> None:
    from linkage.document.reader import Source
    from linkage.solution import solve

    brace = {"upper_pin": [1140, 550], "lug": {"along": 180}, "knee": [942.9154052347341, 515.9755601631573]}
    study = changed({"gear.brace": brace, "gear.leg.tilt": 6.188332458536593})
    titles = [s.title for s in sheets(solve(Source(MERROW, "", "", study)).results)]
    assert "steer-axis tilt from the locked brace" not in titles
    assert "brace force, aft load" in titles
