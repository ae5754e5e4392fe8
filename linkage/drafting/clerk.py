"""A process beside the board that answers questions; begun with the first, renewed where it has ended.

Not a pool of `concurrent.futures`: its threads share the interpreter with the one that draws, and each question waited
9 ms for them, a third of what its answer takes. A pipe needs no thread. What is large goes only to a process that waits
for it, so that neither end ever waits for the other to read.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any

from linkage.crew import SPAWNED, settle, uninterrupted


@dataclass(frozen=True)
class Failed:
    """Why a question has no answer."""

    why: str


@dataclass(eq=False)
class Question:
    """What was asked, from the asking until its answer is taken. ``about``: what the one who asks goes by; ``begin``:
    with what the process is to have begun; ``answer``: None while there is none; ``wanted``: not forgotten since."""

    about: Any
    begin: tuple[Any, ...]
    work: Callable[..., Any]
    given: tuple[Any, ...]
    sent: bool = False
    wanted: bool = True
    answer: Any = None


ENDED = Failed("the process beside the board has ended; the next change starts another")


class Clerk:
    """One process that stays. ``begin`` with ``given`` is called in it before anything else, also once renewed.

    ``at_once``: how many questions may lie at the process, so that it has the next one when it has answered. Where they
    are more than one, questions must be small, some 10 kB at most: less than what a pipe holds.
    """

    def __init__(self, begin: Callable[..., object], *given: Any, at_once: int = 1) -> None:
        self._begin, self._given, self._at_once = begin, given, at_once
        self._process: Any = None
        self._pipe: Connection | None = None
        self._begun: tuple[Any, ...] | None = None
        """With what the process has begun."""
        self._line: deque[Question] = deque()
        """Oldest first: those with an answer, then those that lie at the process, then those that wait to be sent."""

    def tell(self, *given: Any) -> None:
        """Begin with something else from the next question on."""
        self._given = given

    def ask(self, work: Callable[..., Any], *given: Any, about: Any = None) -> None:
        """Ask ``work(*given)``, which is never None."""
        self._line.append(Question(about, self._given, work, given))
        self._turn()

    @property
    def awaited(self) -> list[Any]:
        """What the questions are about whose answers have not been taken, oldest first."""
        return [question.about for question in self._line if question.wanted]

    def forget(self) -> None:
        """Whatever was asked no longer matters."""
        self._line = deque(self._lying)
        for question in self._line:
            question.wanted = False

    def answer(self) -> tuple[Any, Any] | None:
        """What the oldest question is about and its answer, once, or as `Failed` why it has none; None while it is not
        there."""
        self._turn()
        if not self._line or self._line[0].answer is None:
            return None
        question = self._line.popleft()
        return question.about, question.answer

    def close(self) -> None:
        """End the process, also in the middle of its work."""
        self._line.clear()
        self._end()

    @property
    def _lying(self) -> list[Question]:
        """Questions at the process."""
        return [question for question in self._line if question.sent and question.answer is None]

    def _turn(self) -> None:
        """Take the answers that have come and send the questions that wait."""
        for question in self._lying:
            if self._pipe is None or not self._pipe.poll():
                break
            try:
                self._answered(question, self._pipe.recv())
            except (EOFError, OSError):
                self._lost()
        for question in [q for q in self._line if not q.sent]:
            if not self._may_send(question):
                break
            self._send(question)

    def _answered(self, question: Question, answer: Any) -> None:
        if question.wanted:
            question.answer = answer
        else:
            self._line.remove(question)

    def _may_send(self, question: Question) -> bool:
        lying = len(self._lying)
        return not lying or (lying < self._at_once and question.begin is self._begun)

    def _send(self, question: Question) -> None:
        begin = question.begin
        if self._process is not None and not self._lying and not self._process.is_alive():
            self._end()
        if self._pipe is None:
            self._start(begin)
        question.sent = True
        try:
            self._pipe.send((None if begin is self._begun else begin, question.work, question.given))  # type: ignore[union-attr]
            self._begun = begin
        except OSError:
            self._lost()

    def _start(self, given: tuple[Any, ...]) -> None:
        here, there = SPAWNED.Pipe()
        process = SPAWNED.Process(target=_serve, args=(there, self._begin, given), daemon=True)
        with uninterrupted():
            process.start()
        there.close()
        self._pipe, self._process, self._begun = here, process, given

    def _lost(self) -> None:
        """The process has ended, and with it every answer that it owes."""
        for question in self._lying:
            self._answered(question, ENDED)
        self._end()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = self._begun = None


def _serve(pipe: Connection, begin: Callable[..., object], given: tuple[Any, ...]) -> None:
    settle()
    begin(*given)
    while True:
        try:
            anew, work, question = pipe.recv()
        except EOFError:  # the board has gone
            return
        try:
            if anew is not None:
                begin(*anew)
            answer = work(*question)
        except Exception as err:  # a fault of the work must not take the window down; it is shown instead
            answer = Failed(f"{type(err).__name__}: {err}")
        pipe.send(answer)
