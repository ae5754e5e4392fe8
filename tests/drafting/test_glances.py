"""Glances beside the board: the same as here, of the study asked for last, and nothing left running."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from linkage.drafting.desk import Desk
from linkage.drafting.draft import begin
from linkage.drafting.glances import Glances
from linkage.drafting.shown import Judge, Shown
from tests.studies import MERROW


@pytest.fixture(scope="module")
def glances() -> Iterator[Glances]:
    found = Glances(MERROW.parent, begin(MERROW).origin.study)
    yield found
    found.close()
    assert multiprocessing.active_children() == []


@pytest.fixture
def desk(tmp_path: Path, glances: Glances) -> Iterator[Desk]:
    path = Path(shutil.copy(MERROW, tmp_path / "study.toml"))
    yield Desk(begin(path), Judge(MERROW.parent), glancer=glances)
    glances.forget()


def until(so: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not so():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.002)


def awaited(glances: Glances) -> Shown | str:
    found: list[Shown | str] = []

    def there() -> bool:
        answer = glances.answer()
        found.extend([] if answer is None else [answer[1]])
        return bool(found)

    until(there)
    return found[0]


def test_a_glance_elsewhere_is_the_glance_here(glances: Glances) -> None:
    base = begin(MERROW).origin.study
    change = {"gear.brace.upper_pin[0]": 1143.0}
    glances.ask({}, base, {"gear.brace.upper_pin[0]": 1141.0})
    glances.ask({}, base, change)
    first, there = awaited(glances), awaited(glances)
    assert isinstance(first, Shown) and first.study.gear.brace.upper_pin[0] == 1141.0
    draft = begin(MERROW)
    here = Judge(MERROW.parent)(draft.study_of(change))
    assert isinstance(there, Shown)
    assert there.study == here.study
    assert there.findings == here.findings
    np.testing.assert_array_equal(there.force, here.force)
    assert glances.answer() is None
    glances.ask({}, base, change)
    glances.forget()
    assert glances.answer() is None


def test_what_cannot_be_shown_is_said(glances: Glances) -> None:
    glances.ask({}, begin(MERROW).origin.study, {"gear.brace.upper_link": 20.0, "gear.brace.lower_link": 20.0})
    assert "brace" in str(awaited(glances))


def test_a_process_that_was_killed_is_renewed_and_knows_the_study(glances: Glances) -> None:
    base = begin(MERROW).origin.study
    glances.ask({}, base, {})
    assert isinstance(awaited(glances), Shown)
    for process in multiprocessing.active_children():
        os.kill(process.pid or 0, signal.SIGKILL)
        process.join(10)
    glances.ask({}, base, {})
    first = awaited(glances)
    assert isinstance(first, Shown) or "ended" in first
    glances.ask({}, base, {})
    assert isinstance(awaited(glances), Shown)


def test_a_pull_is_seen_when_it_is_judged(desk: Desk) -> None:
    before = desk.shown
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    desk.pull(1143 + 552j, 0.0)
    assert desk.looking and desk.shown is before
    until(lambda: desk.tick(0.0))
    assert not desk.looking
    assert desk.shown.study.gear.brace.upper_pin == pytest.approx((1143, 552))
    desk.drop(0.1)
    assert desk.draft.study == desk.shown.study and desk.draft.dirty


def test_two_places_are_judged_and_shown_one_after_the_other(desk: Desk) -> None:
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    desk.pull(1142 + 551j, 0.0)
    assert desk.free
    desk.pull(1143 + 552j, 0.0)
    assert not desk.free
    until(lambda: desk.tick(0.0))
    assert desk.shown.study.gear.brace.upper_pin == pytest.approx((1142, 551))
    assert desk.looking and desk.free
    desk.pull(1144 + 553j, 0.0)
    until(lambda: desk.tick(0.0))
    assert desk.shown.study.gear.brace.upper_pin == pytest.approx((1143, 552))
    desk.drop(0.1)
    assert desk.draft.study.gear.brace.upper_pin == pytest.approx((1144, 553))
    assert desk.shown.study == desk.draft.study


def test_a_pin_let_go_before_it_is_judged_lies_where_it_was_let_go(desk: Desk) -> None:
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    desk.pull(1143 + 552j, 0.0)
    desk.drop(0.0)
    assert not desk.looking
    assert desk.draft.study.gear.brace.upper_pin == pytest.approx((1143, 552))
    assert desk.shown.study == desk.draft.study
    assert not desk.tick(0.1), "a late answer was taken"
    desk.undo(0.2)
    assert desk.shown.study == desk.draft.study == begin(MERROW).study


def test_a_place_that_cannot_be_is_said_when_it_is_judged_and_not_taken(desk: Desk) -> None:
    before = desk.draft
    desk.grab([h.name for h in desk.handles].index("actuator root"))
    desk.pull(desk.seen(desk.handle) + 330 - 200j, 0.0)
    until(lambda: desk.tick(0.0) or bool(desk.trouble))
    assert desk.trouble and desk.shown.study == before.study
    desk.pull(desk.seen(desk.handle) + 1j, 0.1)
    until(lambda: desk.tick(0.1))
    assert not desk.trouble
    desk.cancel(0.2)
    assert desk.draft is before and desk.shown.study == before.study


def test_a_fault_of_the_judge_is_said_and_the_next_place_is_judged(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    glancer = desk.sight.glancer
    assert isinstance(glancer, Glances)
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    ask = glancer._clerk.ask
    with monkeypatch.context() as patch:
        patch.setattr(glancer._clerk, "ask", lambda work, changes, about: ask(int, "no number", about=about))
        desk.pull(1143 + 552j, 0.0)
        until(lambda: desk.tick(0.0))
    assert "ValueError" in desk.trouble and not desk.looking
    desk.pull(1144 + 552j, 0.1)
    until(lambda: desk.tick(0.1))
    assert not desk.trouble
    desk.cancel(0.2)


def test_the_last_place_before_a_pin_is_let_go_is_not_judged_twice(desk: Desk) -> None:
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    desk.pull(1143 + 552j, 0.0, last=True)
    assert not desk.looking and desk.shown.study.gear.brace.upper_pin == pytest.approx((1143, 552))
    desk.drop(0.0)
    desk.nudge(1j, 1.0, 0.1)
    assert not desk.looking
    assert desk.draft.study.gear.brace.upper_pin == pytest.approx((1143, 552.1))
