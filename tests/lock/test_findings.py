"""What is judged about the lock, and when it falls short."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from linkage.checks import Finding
from linkage.document.reader import Source
from linkage.solution import solve
from tests.studies import MERROW, OSTREL, solution
from tests.topologies import STARTER, solved
from tests.topologies import study as variant


def of(found: tuple[Finding, ...], code: str) -> list[Finding]:
    return [f for f in found if f.code == code]


def judged(name: str, more: dict[str, Any]) -> tuple[Finding, ...]:
    return solve(Source(STARTER, "0" * 64, "", variant(name, more))).findings


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_both_studies_hold_their_lock(path: Path) -> None:
    found = solution(path).findings
    for code in ("lock-hold", "lock-reserve", "stops", "up-travel", "up-hold"):
        assert of(found, code), code
        assert all(f.passed for f in of(found, code)), code


def test_every_condition_that_pulls_is_judged() -> None:
    results = solution(MERROW).results
    pulled = {h.load.condition.name for h in results.lock.held if h.press < 0}
    assert {"static 1 g", "forward load"} <= pulled
    assert len(of(solution(MERROW).findings, "lock-hold")) == sum(h.press < 0 for h in results.lock.held)


def test_nothing_declared_fails_by_the_whole_pull() -> None:
    found = judged("upper link", {"gear.lock": None})
    held = of(found, "lock-hold")
    assert held
    assert all(not f.passed and f.margin == -f.actual and "nothing declared" in f.state for f in held)


def test_two_stops_are_one_too_many_and_name_the_offset() -> None:
    (stops,) = of(judged("upper link", {"gear.leg.stop": True}), "stops")
    assert not stops.passed
    assert "knee stop and leg stop fight each other" in stops.state
    assert "-0.3 mm: 0.14 mm short" in stops.state
    assert "+0.3 mm: offset 8.4 mm" in stops.state
    (none,) = of(judged("upper link", {"gear.brace.stop": False}), "stops")
    assert not none.passed


def test_a_leg_stop_alone_leaves_the_offset_to_the_links() -> None:
    found = judged("upper link", {"gear.leg.stop": True, "gear.brace.stop": False})
    assert of(found, "stops")[0].passed
    assert {f.passed for f in of(found, "stop-offset")} == {True, False}
    worst = min(of(found, "stop-offset"), key=lambda f: f.margin)
    assert worst.actual == pytest.approx(-0.136, abs=1e-3)


def test_an_actuator_on_the_leg_needs_a_release() -> None:
    assert not of(solved("leg").findings, "lock-release")
    (release,) = of(judged("leg", {"gear.lock.release": ""}), "lock-release")
    assert not release.passed
    assert release.margin == pytest.approx(-solved("leg").results.lock.travel.back)  # type: ignore[union-attr]
    assert not of(judged("upper link", {"gear.lock.release": ""}), "lock-release")


def test_an_actuator_on_the_leg_must_run_past_its_locked_length() -> None:
    (reserve,) = of(judged("leg", {"gear.actuator.travel_left_at_lock": 0}), "lock-reserve")
    assert reserve.actual < 0
    assert "driven back" in reserve.state


def test_oil_alone_is_no_positive_means() -> None:
    alone = judged("upper link", {"gear.lock": {"holds": "hydraulic lock", "hydraulic_force": 9000}})
    assert not of(alone, "lock-positive")[0].passed
    both = {"holds": ["hydraulic lock", "self-locking actuator"], "hydraulic_force": 9000}
    assert of(judged("upper link", {"gear.lock": both}), "lock-positive")[0].passed


def test_lock_links_are_judged_by_their_own_offset_and_force() -> None:
    found = solved("lock links").findings
    assert [f.subject for f in of(found, "over-centre")] == ["over-centre offset of the lock links"] * 2
    assert of(found, "lock-link")[0].passed
    weak = judged("lock links", {"gear.lock_link.max_force": 100})
    assert not of(weak, "lock-link")[0].passed


def test_a_brace_without_a_knee_has_no_offset_to_judge() -> None:
    found = solved("telescoping").findings
    assert not of(found, "over-centre")
    assert not of(found, "lock-travel")
    assert of(found, "dead-length")
    assert len(of(solved("sliding root").findings, "track")) == 2
    short = judged("sliding root", {"gear.brace.track_to": [1450, 900]})
    assert not all(f.passed for f in of(short, "track"))
