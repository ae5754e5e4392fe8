"""Pieces of work done by other processes while this one goes on: fewer seconds, the same results.

For a command that makes many files of one solution. Pieces are taken in the order in which they were begun, by whoever
is free: by this process too, while it waits for one. What a lost process held is done here.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Future
from contextlib import contextmanager
from functools import partial
from queue import Empty, SimpleQueue
from typing import Any, Generic, TypeVar

from linkage.crew import Workers

R = TypeVar("R")

MOST = 4
"""Processes at once if nobody says how many: each loads its libraries first, and a review has no work for more."""


class Piece(Generic[R]):
    """Work that was begun. ``result()`` gives what it returns, or raises what it raises."""

    def __init__(self, work: Callable[[], R], beside: Beside) -> None:
        self.work, self.beside = work, beside
        self.future: Future[R] = Future()

    def result(self) -> R:
        """Meanwhile this process does pieces that wait, this one among them."""
        while not self.future.done() and (piece := self.beside.waiting()) is not None:
            piece.done_by(piece.work)
        try:
            return self.future.result()
        except BrokenExecutor:  # its process was killed or crashed
            return self.work()

    def done_by(self, doer: Callable[[], R]) -> None:
        """Have it done, and keep what comes of it."""
        try:
            self.future.set_result(doer())
        except Exception as err:
            self.future.set_exception(err)


class Beside:
    """``others``: how many processes beside this one. See `beside`."""

    def __init__(self, others: int) -> None:
        self.others = others
        self.stopped = False
        self._queue: SimpleQueue[Piece[Any] | None] = SimpleQueue()
        self._crews: list[Workers] = []

    def begin(self, work: Callable[..., R], *args: Any) -> Piece[R]:
        """Give out work: a function that another process can import, with arguments that can be pickled."""
        piece = Piece(partial(work, *args), self)
        self._queue.put(piece)
        if len(self._crews) < self.others:
            self._crews.append(Workers(1))
            threading.Thread(target=self._serve, args=(self._crews[-1],), daemon=True).start()
        return piece

    def waiting(self) -> Piece[Any] | None:
        """The piece that waits longest, if one waits; it is then the caller's to do."""
        try:
            return self._queue.get_nowait()
        except Empty:
            return None

    def _serve(self, crew: Workers) -> None:
        """Give a process what waits, one piece after the other."""
        while (piece := self._queue.get()) is not None and not self.stopped:
            piece.done_by(partial(self._done_there, crew, piece.work))

    def _done_there(self, crew: Workers, work: Callable[[], R]) -> R:
        future = crew.submit(work)
        if self.stopped:  # while its process was being started
            crew.stop()
        return future.result()

    def stop(self) -> None:
        """End the other processes at once, whatever they hold."""
        self.stopped = True
        for crew in self._crews:
            self._queue.put(None)
            crew.stop()


@contextmanager
def beside(processes: int | None = 1) -> Iterator[Beside]:
    """``processes`` at work at once, this one counted; None: one for each core, `MOST` at most.

    With 1, each piece is done when a result is asked for. The others end with the block, also if it fails.
    """
    count = min(os.cpu_count() or 1, MOST) if processes is None else processes
    helpers = Beside(count - 1)
    try:
        yield helpers
    finally:
        helpers.stop()
