"""A glance beside the full solution of the same study: equal where the formula is the same, within its bound else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.checks import Finding
from linkage.clearance import BRACKET
from linkage.glance import LEFT_OUT
from linkage.glance.gaps import WITHIN
from tests.glance.cases import CASES, looked, solved

GAPS = ("gap", "self-gap")
LOOSE = WITHIN + BRACKET
"""mm between two lower bounds of which one lies `WITHIN`, the other `BRACKET` below what is reached."""

every_case = pytest.mark.parametrize("name", CASES)


def key(f: Finding) -> tuple[str, ...]:
    """What a finding is about; of a gap the item alone, for two parts may be as near."""
    if f.code == "self-gap":
        return (f.code,)
    if f.code == "gap":
        return (f.code, f.subject.split(" to ", 1)[1])
    return (f.code, f.subject, f.required, f.at, f.state)


def short(findings: tuple[Finding, ...]) -> set[tuple[str, ...]]:
    return {key(f) for f in findings if not f.passed and f.code not in LEFT_OUT}


@every_case
def test_the_stroke_share_lock_and_loads_are_those_of_the_solution(name: str) -> None:
    g, s = looked(name), solved(name).results
    assert g.trouble == ()
    assert g.stroke is not None and g.share is not None and g.steering is not None and g.standing is not None
    assert np.array_equal(g.stroke.driven, s.stroke.driven)
    for array in ("swing", "knee_offset", "transmission", "actuator_length"):
        assert np.array_equal(getattr(g.stroke, array), getattr(s.stroke, array), equal_nan=True)
    assert g.offset == (s.lock.offset if s.lock.offset is not None else None)
    assert g.share.ground == s.share.ground and g.share.cg == s.share.cg and g.share.cg_up == s.share.cg_up
    assert g.share.in_band == s.share.in_band
    assert g.loads == s.loads.locked
    assert g.stops == s.lock.stops
    assert (g.lock_travel is None) == (s.lock.travel is None)
    if g.lock_travel is not None and s.lock.travel is not None:
        assert g.lock_travel.dead_travel == s.lock.travel.dead_travel and g.lock_travel.back == s.lock.travel.back
    assert g.steering.tilt == s.steering.tilt


@every_case
def test_forces_over_the_stroke_are_those_of_the_solution(name: str) -> None:
    g, s = looked(name), solved(name).results
    assert g.push is not None and g.peak is not None
    most = s.study.limits.load_factor.max
    whole = s.actuation.push[s.actuation.load_factors.index(most)]
    assert g.push == pytest.approx(whole, rel=1e-9, nan_ok=True)
    greatest = max(s.actuation.peak(most), -s.actuation.pull(most))
    assert abs(g.peak[0]) == pytest.approx(greatest, rel=1e-9)


@every_case
def test_gaps_are_bounds_within_what_is_stated(name: str) -> None:
    g, s = looked(name), solved(name).results
    assert g.clearance is not None
    full = {gap.item: gap for gap in s.clearance.per_item()}
    assert {gap.item for gap in g.gaps} == set(full)
    own = list(zip(g.clearance.own, s.clearance.own[:1], strict=True))
    for mine, truth in [*((gap, full[gap.item]) for gap in g.gaps), *own]:
        assert mine.gap <= truth.upper + 1e-6, f"{mine.item}: not a lower bound"
        assert mine.upper >= truth.gap - 1e-6, f"{mine.item}: reached less than what is proved"
        if truth.upper > 0:
            assert mine.upper - mine.gap <= WITHIN + 1e-9
            assert abs(mine.gap - truth.gap) <= LOOSE
        else:
            assert mine.gap < 0


@every_case
def test_what_is_short_is_short_in_both(name: str) -> None:
    g, s = looked(name), solved(name)
    unsure = {key(f) for f in (*g.findings, *s.findings) if f.code in GAPS and abs(f.margin) <= LOOSE}
    assert short(g.findings) ^ short(s.findings) <= unsure


@every_case
def test_findings_are_the_same_but_for_those_left_out(name: str) -> None:
    g, s = looked(name), solved(name)
    full = {key(f): f for f in s.findings if f.code not in LEFT_OUT}
    mine = {key(f): f for f in g.findings}
    assert mine.keys() == full.keys()
    for k, f in mine.items():
        if f.code in GAPS:
            assert abs(f.margin - full[k].margin) <= LOOSE or (f.margin < 0 and full[k].margin < 0)
        elif f.code == "actuator-force":  # by virtual work alone, and by the pins: two roads
            assert (f.actual, f.margin) == pytest.approx((full[k].actual, full[k].margin), rel=1e-10)
            assert replace(f, actual=0.0, margin=0.0) == replace(full[k], actual=0.0, margin=0.0)
        else:
            assert f == full[k]
    assert not {f.code for f in g.findings} & set(LEFT_OUT)


def test_some_case_is_short_and_some_is_good_of_the_gaps() -> None:
    """The comparison above has something to compare."""
    found = [f.passed for name in CASES for f in looked(name).findings if f.code == "gap"]
    assert any(found) and not all(found)
    assert min(gap.gap for gap in looked("demo, wider shaft").gaps) < 0
    assert min(gap.gap for gap in looked("demo, crossover in the way").gaps) < 0
