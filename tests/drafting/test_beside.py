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


@pytest.fixture
def beside() -> Iterator[Beside]:
    found = Beside(begin, 40)
    yield found
    found.close()


def awaited(beside: Beside) -> Any:
    end = time.monotonic() + 60
    while (found := beside.answer()) is None:
        assert time.monotonic() < end, "no answer"
        time.sleep(0.002)
    return found


def test_only_the_last_question_is_answered_and_once(beside: Beside) -> None:
    beside.ask(waits, 0.3)
    beside.ask(begun, 1)
    beside.ask(begun, 2)
    assert awaited(beside) == 42
    assert beside.answer() is None
    beside.ask(begun, 3)
    beside.forget()
    time.sleep(0.1)
    assert beside.answer() is None


def test_it_begins_anew_when_told(beside: Beside) -> None:
    beside.ask(begun, 2)
    assert awaited(beside) == 42
    beside.tell(50)
    beside.ask(begun, 2)
    assert awaited(beside) == 52
    beside.ask(begun, 3)
    assert awaited(beside) == 53


def test_questions_and_answers_larger_than_a_pipe_do_not_wait_for_one_another(beside: Beside) -> None:
    large = np.arange(1_000_000.0)
    beside.ask(size, large)
    beside.ask(size, large)
    assert len(awaited(beside)) == 2_000_000


def test_an_end_at_work_is_said_and_the_next_question_is_answered(beside: Beside) -> None:
    beside.ask(ends)
    found = awaited(beside)
    assert isinstance(found, Failed) and "has ended" in found.why
    beside.tell(50)
    beside.ask(begun, 2)
    assert awaited(beside) == 52


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
