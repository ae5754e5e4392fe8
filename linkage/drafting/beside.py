"""A process beside the board that answers one question at a time; begun with the first, renewed where it has ended.

Not a pool of `concurrent.futures`: its threads share the interpreter with the one that draws, and each question waited
9 ms for them, a third of what its answer takes. A pipe needs no thread. Nothing is sent but to a process that waits for
it, so neither end ever waits for the other to read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any

from linkage.crew import SPAWNED, settle


@dataclass(frozen=True)
class Failed:
    """Why a question has no answer."""

    why: str


ENDED = Failed("the process beside the board has ended; the next change starts another")


class Beside:
    """One process that stays, and the question asked last. ``begin`` with ``given`` is called in it before anything
    else, also once renewed."""

    def __init__(self, begin: Callable[..., object], *given: Any) -> None:
        self._begin, self._given = begin, given
        self._process: Any = None
        self._pipe: Connection | None = None
        self._begun: tuple[Any, ...] | None = None
        """With what the process has begun."""
        self._waiting: tuple[Callable[..., Any], tuple[Any, ...]] | None = None
        """A question not yet sent."""
        self._at_work = self._wanted = False
        """A question is at the process, and its answer is waited for."""
        self._found: Any = None

    def tell(self, *given: Any) -> None:
        """Begin with something else from the next question on."""
        self._given = given

    def ask(self, work: Callable[..., Any], *given: Any) -> None:
        """Ask ``work(*given)``, which is never None. What was asked before is no longer answered."""
        self.forget()
        self._waiting = work, given
        self._turn()

    def forget(self) -> None:
        """What was asked no longer matters."""
        self._waiting, self._found, self._wanted = None, None, False

    def answer(self) -> Any:
        """What was asked for last, once, or as `Failed` why it has no answer; None while it is not there."""
        self._turn()
        found, self._found = self._found, None
        return found

    def close(self) -> None:
        """End the process, also in the middle of its work."""
        self.forget()
        self._end()

    def _turn(self) -> None:
        """Take an answer that has come and send the question that waits."""
        if self._at_work and self._pipe is not None and self._pipe.poll():
            try:
                found = self._pipe.recv()
            except (EOFError, OSError):
                self._end()
                found = ENDED
            self._at_work = False
            if self._wanted:
                self._found, self._wanted = found, False
        if self._waiting is not None and not self._at_work:
            question, self._waiting = self._waiting, None
            self._send(*question)

    def _send(self, work: Callable[..., Any], given: tuple[Any, ...]) -> None:
        if self._process is not None and not self._process.is_alive():
            self._end()
        if self._pipe is None:
            self._start()
        begin = None if self._begun is self._given else self._given
        self._begun = self._given
        self._at_work = self._wanted = True
        try:
            self._pipe.send((begin, work, given))  # type: ignore[union-attr]
        except OSError:  # ended this very moment: taken for an end while at work
            self._end()
            self._at_work, self._wanted, self._found = False, False, ENDED

    def _start(self) -> None:
        self._pipe, there = SPAWNED.Pipe()
        self._process = SPAWNED.Process(target=_serve, args=(there, self._begin, self._given), daemon=True)
        self._begun = self._given
        self._process.start()
        there.close()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = self._begun = None
        self._at_work = False


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
