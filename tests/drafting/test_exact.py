"""The exact solution beside the board: right, the last one asked for, and nothing left running."""

from __future__ import annotations

import multiprocessing
import time

from linkage.drafting.draft import begin, dragged
from linkage.drafting.drag import Keep
from linkage.drafting.exact import Exact, Exactly
from tests.studies import MERROW, solution


def awaited(solver: Exactly) -> Exact:
    end = time.monotonic() + 60
    while time.monotonic() < end:
        found = solver.answer()
        if found is not None:
            return found
        time.sleep(0.02)
    raise AssertionError("no answer")


def test_the_last_study_asked_for_is_answered() -> None:
    solver = Exactly()
    try:
        draft = begin(MERROW)
        solver.ask(dragged(draft, "trunnion", 845 + 682j, Keep.LENGTHS).source)
        assert solver.answer() is None
        solver.ask(draft.source)
        assert awaited(solver).findings == solution(MERROW).findings
        solver.ask(dragged(draft, "upper pin", 1140 + 640j, Keep.LENGTHS).source)
        assert "gear" in awaited(solver).trouble
        solver.ask(draft.source)
        solver.forget()
        assert solver.answer() is None
    finally:
        solver.close()
    assert multiprocessing.active_children() == []
