"""What the board does, without a window: nothing raises, nothing is lost, the exact solution is asked for at rest."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from linkage.document.reader import Source
from linkage.drafting.desk import PLAY_SECONDS, Desk
from linkage.drafting.draft import begin
from linkage.drafting.exact import Exact
from linkage.drafting.shown import Judge
from linkage.drafting.sight import REST
from tests.studies import MERROW


class Slow:
    """A solver that answers when it is told to."""

    def __init__(self) -> None:
        self.asked: list[Source] = []
        self.found: Exact | None = None

    def ask(self, source: Source) -> int:
        self.asked.append(source)
        return len(self.asked)

    def forget(self) -> None:
        self.found = None

    def answer(self) -> Exact | None:
        found, self.found = self.found, None
        return found


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    path = Path(shutil.copy(MERROW, tmp_path / "study.toml"))
    return Desk(begin(path), Judge(path.parent), Slow())


def test_the_exact_solution_is_asked_for_once_at_rest_and_dropped_when_outdated(desk: Desk) -> None:
    solver = desk.sight.solver
    assert isinstance(solver, Slow)
    desk.tick(0.0)
    solver.found = Exact(desk.shown.findings)
    assert desk.tick(0.1) and desk.settled
    desk.grab(1)
    desk.pull(1143 + 550j, 1.0)
    assert not desk.settled
    desk.tick(1.0 + 0.9 * REST)
    assert len(solver.asked) == 1
    desk.tick(1.0 + 1.1 * REST)
    desk.tick(1.0 + 1.2 * REST)
    assert [s.study for s in solver.asked[1:]] == [desk.shown.study]
    solver.found = Exact(desk.shown.findings)
    desk.pull(1144 + 550j, 2.0)  # too late: the answer is of another study
    desk.tick(2.1)
    assert not desk.settled
    desk.drop(2.2)
    desk.tick(3.0)
    short = tuple(replace(f, margin=-1.0) if f.code == "tip-back" else f for f in desk.shown.findings)
    solver.found = Exact(short)
    assert desk.tick(3.1)
    assert [f.code for f in desk.broke.broke if f.code == "tip-back"] == ["tip-back"]
    solver.found = None
    desk.undo(4.0)
    desk.tick(5.0)
    solver.found = Exact(trouble="cannot")
    desk.tick(5.1)
    assert not desk.settled and "cannot" in desk.message


def test_letting_go_without_moving_leaves_everything(desk: Desk) -> None:
    before, shown = desk.draft, desk.shown
    desk.grab(1)
    desk.pull(1150 + 560j, 0.0)
    desk.cancel(0.1)
    assert desk.draft is before and desk.shown.study == shown.study and desk.grip is None
    desk.grab(1)
    desk.drop(0.2)
    assert desk.draft is before


def test_the_stroke_plays_from_down_to_up_and_begins_again(desk: Desk) -> None:
    desk.play()
    assert desk.tick(10.0)
    desk.tick(10.0 + 0.5 * PLAY_SECONDS)
    assert desk.place == pytest.approx(0.5)
    desk.tick(10.0 + 1.2 * PLAY_SECONDS)
    assert desk.place == 1.0
    desk.tick(10.0 + 1.3 * PLAY_SECONDS)
    assert desk.place == pytest.approx(0.1)
    desk.scrub(3.0)
    assert (desk.place, desk.playing) == (1.0, False)


def test_a_state_at_rest_is_shown_where_it_rests(desk: Desk) -> None:
    desk.scrub(0.5)
    desk.state = desk.states.index("steered 40 deg at rest")
    assert desk.driven == 0.0


def test_nudging_where_the_links_do_not_let_go_says_so(desk: Desk) -> None:
    desk.selected = [h.name for h in desk.handles].index("knee")
    desk.nudge(1 + 0j, 0.01, 0.0)
    assert "does not move that way" in desk.message
    assert not desk.draft.dirty


def test_messages_instead_of_errors(desk: Desk) -> None:
    desk.undo(0.0)
    assert desk.message == "nothing to undo"
    desk.redo(0.0)
    assert desk.message == "nothing to redo"
    desk.save()
    assert desk.message == "nothing to save"
    desk.nudge(1j, 1.0, 0.0)
    desk.draft.path.unlink()
    desk.save()
    assert "is gone" in desk.message
    desk.reload(0.0)
    desk.reload(0.0)
    assert "cannot be read" in desk.message
    assert desk.draft.dirty
    desk.save(beside=True)
    assert desk.draft.path.name == "study.toml" or desk.draft.path.name == "study.1.toml"
    assert desk.draft.path.exists() and not desk.draft.dirty
    desk.quit()
    assert desk.ended


def solved(desk: Desk, now: float) -> None:
    """The exact solution of what is shown arrives."""
    solver = desk.sight.solver
    assert isinstance(solver, Slow)
    desk.tick(now + 2 * REST)
    solver.found = Exact(desk.shown.findings)
    assert desk.tick(now + 3 * REST) and desk.settled


def test_a_refused_place_does_not_cost_the_exact_solution(desk: Desk) -> None:
    solved(desk, 0.0)
    asked = len(desk.sight.solver.asked)  # type: ignore[union-attr]
    desk.grab([h.name for h in desk.handles].index("actuator root"))
    desk.pull(desk.seen(desk.handle) + 330 - 200j, 5.0)
    assert desk.trouble
    desk.drop(5.1)
    assert "not taken" in desk.message and desk.settled
    desk.grab(1)
    desk.pull(1143 + 552j, 6.0)
    assert not desk.settled
    desk.cancel(6.1)
    assert desk.settled and desk.shown.study == desk.draft.study
    desk.tick(9.0)
    assert len(desk.sight.solver.asked) == asked  # type: ignore[union-attr]


def test_a_fault_while_a_pin_is_let_go_leaves_the_draft_on_show(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    desk.grab(1)
    desk.pull(1143 + 552j, 0.0)
    monkeypatch.setattr("linkage.drafting.desk.edited", lambda *_: int("no number"))
    with pytest.raises(ValueError, match="no number"):
        desk.drop(0.1)
    assert desk.shown.study == desk.draft.study and not desk.draft.dirty


def test_no_file_is_read_again_while_a_pin_is_in_hand(desk: Desk) -> None:
    before = desk.draft
    desk.grab(1)
    desk.pull(1143 + 552j, 0.0)
    desk.reload(0.1)
    assert desk.draft is before and desk.grip is not None
    desk.cancel(0.2)


def test_a_refused_save_is_forgotten_with_the_next_pin(desk: Desk) -> None:
    desk.nudge(1j, 1.0, 0.0)
    desk.draft.path.write_text("# somebody else")
    desk.save()
    assert "NOT SAVED" in desk.message and not desk.trouble
    desk.grab(1)
    desk.drop(1.0)
    assert "not taken" not in desk.message


def test_why_there_is_no_exact_solution_is_told_once_more_when_the_pin_is_let_go(desk: Desk) -> None:
    solver = desk.sight.solver
    assert isinstance(solver, Slow)
    desk.grab(1)
    desk.pull(1143 + 550j, 1.0)
    desk.tick(2.0)
    solver.found = Exact(trouble="too abrupt")
    desk.tick(2.1)
    desk.drop(3.0)
    assert "too abrupt" in desk.message


def test_while_a_pin_is_in_hand_the_gear_stands_and_quitting_asks(desk: Desk) -> None:
    desk.grab(1)
    for act in (lambda: desk.scrub(0.5), desk.play, desk.next_state, lambda: desk.select(1)):
        act()
    assert (desk.place, desk.playing, desk.state, desk.selected) == (0.0, False, 0, 1)
    desk.pull(1143 + 550j, 0.0)
    desk.quit()
    assert not desk.ended and "the same again" in desk.message
    desk.drop(0.1)
    assert desk.draft.dirty


def test_a_message_is_gone_when_the_next_pin_is_taken(desk: Desk) -> None:
    desk.undo(0.0)
    assert desk.message == "nothing to undo"
    desk.grab(1)
    assert desk.message == ""
