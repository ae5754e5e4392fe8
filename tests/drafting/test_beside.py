"""The process beside the board: the last question is answered, none is in the way, and an end is said and mended."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from linkage.drafting.beside import Beside, Failed

_begun: list[int] = []


def begin(number: int) -> None:
    _begun[:] = [number]


def begun(add: int) -> int:
    return _begun[0] + add


def waits(seconds: float) -> str:
    time.sleep(seconds)
    return "waited"


def size(numbers: Any) -> Any:
    return np.concatenate([numbers, numbers])


def ends() -> None:
    os._exit(1)


@pytest.fixture(params=[1, 2])
def beside(request: pytest.FixtureRequest) -> Iterator[Beside]:
    found = Beside(begin, 40, at_once=request.param)
    yield found
    found.close()


def awaited(beside: Beside) -> Any:
    end = time.monotonic() + 60
    while (found := beside.answer()) is None:
        assert time.monotonic() < end, "no answer"
        time.sleep(0.002)
    return found


def test_questions_are_answered_in_their_order_once_and_unless_forgotten(beside: Beside) -> None:
    beside.ask(waits, 0.3)
    beside.ask(begun, 1)
    beside.forget()
    beside.ask(begun, 2)
    beside.ask(begun, 3)
    assert awaited(beside) == 42
    assert awaited(beside) == 43
    assert beside.answer() is None
    beside.ask(begun, 4)
    beside.forget()
    time.sleep(0.1)
    assert beside.answer() is None


def test_it_begins_anew_when_told(beside: Beside) -> None:
    beside.ask(begun, 2)
    beside.tell(50)
    beside.ask(begun, 2)
    beside.ask(begun, 3)
    assert [awaited(beside) for _ in range(3)] == [42, 52, 53]


def test_the_next_question_lies_at_the_process_before_the_last_is_answered(beside: Beside) -> None:
    beside.ask(waits, 0.0)
    assert awaited(beside) == "waited"
    for _ in range(3):
        beside.ask(waits, 0.1)
    assert len(beside._sent) == beside._at_once
    assert [awaited(beside) for _ in range(3)] == ["waited"] * 3


def test_questions_and_answers_larger_than_a_pipe_do_not_wait_for_one_another(beside: Beside) -> None:
    beside._at_once = 1
    large = np.arange(1_000_000.0)
    beside.ask(size, large)
    beside.ask(size, large)
    assert [len(awaited(beside)) for _ in range(2)] == [2_000_000] * 2


def test_an_end_at_work_is_said_and_the_next_question_is_answered(beside: Beside) -> None:
    beside.ask(waits, 0.2)
    beside.ask(ends)
    assert awaited(beside) == "waited"
    found = awaited(beside)
    assert isinstance(found, Failed) and "has ended" in found.why
    beside.tell(50)
    beside.ask(begun, 2)
    assert awaited(beside) == 52


def test_an_end_leaves_no_question_without_an_answer(beside: Beside) -> None:
    beside.ask(ends)
    beside.ask(begun, 2)
    found = [awaited(beside), awaited(beside)]
    assert isinstance(found[0], Failed)
    assert found[1] == (42 if beside._at_once == 1 else found[0])


def test_an_end_while_nothing_is_asked_is_not_seen(beside: Beside) -> None:
    beside.ask(begun, 2)
    assert awaited(beside) == 42
    beside._process.kill()
    beside._process.join()
    beside.ask(begun, 2)
    assert awaited(beside) == 42


def test_a_fault_is_an_answer(beside: Beside) -> None:
    beside.ask(int, "no number")
    found = awaited(beside)
    assert isinstance(found, Failed) and found.why.startswith("ValueError: ")
    beside.ask(begun, 2)
    assert awaited(beside) == 42
