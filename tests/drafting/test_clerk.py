"""The process beside the board: the last question is answered, none is in the way, and an end is said and mended."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from linkage.drafting.clerk import Clerk, Failed

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
def clerk(request: pytest.FixtureRequest) -> Iterator[Clerk]:
    found = Clerk(begin, 40, at_once=request.param)
    yield found
    found.close()


def awaited(clerk: Clerk) -> Any:
    end = time.monotonic() + 60
    while (found := clerk.answer()) is None:
        assert time.monotonic() < end, "no answer"
        time.sleep(0.002)
    return found[1]


def test_questions_are_answered_in_their_order_once_and_unless_forgotten(clerk: Clerk) -> None:
    clerk.ask(waits, 0.3)
    clerk.ask(begun, 1)
    clerk.forget()
    clerk.ask(begun, 2)
    clerk.ask(begun, 3)
    assert awaited(clerk) == 42
    assert awaited(clerk) == 43
    assert clerk.answer() is None
    clerk.ask(begun, 4)
    clerk.forget()
    time.sleep(0.1)
    assert clerk.answer() is None


def test_what_is_awaited_is_known_until_its_answer_is_taken(clerk: Clerk) -> None:
    clerk.ask(waits, 0.2, about="old")
    clerk.forget()
    for number in (2, 3, 4):
        clerk.ask(begun, number, about=number)
    assert clerk.awaited == [2, 3, 4]
    time.sleep(0.5)
    clerk._turn()
    assert clerk.awaited == [2, 3, 4]
    found = [clerk.answer() for _ in range(400) if time.sleep(0.01) is None]
    assert [f for f in found if f is not None] == [(2, 42), (3, 43), (4, 44)]
    assert clerk.awaited == []


def test_it_begins_anew_when_told(clerk: Clerk) -> None:
    clerk.ask(begun, 2)
    clerk.tell(50)
    clerk.ask(begun, 2)
    clerk.ask(begun, 3)
    assert [awaited(clerk) for _ in range(3)] == [42, 52, 53]


def test_the_next_question_lies_at_the_process_before_the_last_is_answered(clerk: Clerk) -> None:
    clerk.ask(waits, 0.0)
    assert awaited(clerk) == "waited"
    for _ in range(3):
        clerk.ask(waits, 0.1)
    assert len(clerk._lying) == clerk._at_once
    assert [awaited(clerk) for _ in range(3)] == ["waited"] * 3


def test_questions_and_answers_larger_than_a_pipe_do_not_wait_for_one_another(clerk: Clerk) -> None:
    clerk._at_once = 1
    large = np.arange(1_000_000.0)
    clerk.ask(size, large)
    clerk.ask(size, large)
    assert [len(awaited(clerk)) for _ in range(2)] == [2_000_000] * 2


def test_an_end_at_work_is_said_and_the_next_question_is_answered(clerk: Clerk) -> None:
    clerk.ask(waits, 0.2)
    clerk.ask(ends)
    assert awaited(clerk) == "waited"
    found = awaited(clerk)
    assert isinstance(found, Failed) and "has ended" in found.why
    clerk.tell(50)
    clerk.ask(begun, 2)
    assert awaited(clerk) == 52


def test_an_end_leaves_no_question_without_an_answer(clerk: Clerk) -> None:
    clerk.ask(ends)
    clerk.ask(begun, 2)
    found = [awaited(clerk), awaited(clerk)]
    assert isinstance(found[0], Failed)
    assert found[1] == (42 if clerk._at_once == 1 else found[0])


def test_an_end_while_nothing_is_asked_is_not_seen(clerk: Clerk) -> None:
    clerk.ask(begun, 2)
    assert awaited(clerk) == 42
    clerk._process.kill()
    clerk._process.join()
    clerk.ask(begun, 2)
    assert awaited(clerk) == 42


def test_a_fault_is_an_answer(clerk: Clerk) -> None:
    clerk.ask(int, "no number")
    found = awaited(clerk)
    assert isinstance(found, Failed) and found.why.startswith("ValueError: ")
    clerk.ask(begun, 2)
    assert awaited(clerk) == 42
