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

from linkage.crew import SPAWNED, settle


@dataclass(frozen=True)
class Failed:
    """Why a question has no answer."""

    why: str


Question = tuple[tuple[Any, ...], Callable[..., Any], tuple[Any, ...]]
"""With what to begin, what to do, and with what."""

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
        self._waiting: deque[Question] = deque()
        self._sent: deque[bool] = deque()
        """Of each question that lies at the process whether its answer is still wanted."""
        self._found: deque[Any] = deque()

    def tell(self, *given: Any) -> None:
        """Begin with something else from the next question on."""
        self._given = given

    def ask(self, work: Callable[..., Any], *given: Any) -> None:
        """Ask ``work(*given)``, which is never None."""
        self._waiting.append((self._given, work, given))
        self._turn()

    def forget(self) -> None:
        """Whatever was asked no longer matters."""
        self._waiting.clear()
        self._found.clear()
        self._sent = deque(False for _ in self._sent)

    def answer(self) -> Any:
        """The answer to the oldest question, once, or as `Failed` why it has none; None while it is not there."""
        self._turn()
        return self._found.popleft() if self._found else None

    def close(self) -> None:
        """End the process, also in the middle of its work."""
        self.forget()
        self._end()

    def _turn(self) -> None:
        """Take the answers that have come and send the questions that wait."""
        while self._sent and self._pipe is not None and self._pipe.poll():
            try:
                found = self._pipe.recv()
            except (EOFError, OSError):
                self._lost()
                break
            if self._sent.popleft():
                self._found.append(found)
        while self._waiting and self._may_send(self._waiting[0]):
            self._send(self._waiting.popleft())

    def _may_send(self, question: Question) -> bool:
        return not self._sent or (len(self._sent) < self._at_once and question[0] is self._begun)

    def _send(self, question: Question) -> None:
        begin, work, given = question
        if self._process is not None and not self._sent and not self._process.is_alive():
            self._end()
        if self._pipe is None:
            self._start(begin)
        self._sent.append(True)
        try:
            self._pipe.send((None if begin is self._begun else begin, work, given))  # type: ignore[union-attr]
            self._begun = begin
        except OSError:
            self._lost()

    def _start(self, given: tuple[Any, ...]) -> None:
        here, there = SPAWNED.Pipe()
        process = SPAWNED.Process(target=_serve, args=(there, self._begin, given), daemon=True)
        process.start()
        there.close()
        self._pipe, self._process, self._begun = here, process, given

    def _lost(self) -> None:
        """The process has ended, and with it every answer that it owes."""
        self._found.extend(ENDED for wanted in self._sent if wanted)
        self._end()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = self._begun = None
        self._sent.clear()


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
