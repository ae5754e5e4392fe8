"""A process beside the board that answers one question at a time; begun with the first, renewed where it has ended."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Any, TypeVar

T = TypeVar("T")

CONTEXT = multiprocessing.get_context("spawn")


class Beside:
    """One process that stays. ``begin`` with ``given`` is called in it before anything else, also once renewed."""

    def __init__(self, begin: Callable[..., object], *given: Any) -> None:
        self._begin, self._given = begin, given
        self._pool: ProcessPoolExecutor | None = None

    def tell(self, *given: Any) -> None:
        """Begin with something else from now on."""
        self._given = given
        if self._pool is not None:
            self.submit(self._begin, *given)

    def submit(self, work: Callable[..., T], *given: Any) -> Future[T]:
        """Ask; questions are answered in their order."""
        try:
            return self._ready().submit(work, *given)
        except BrokenProcessPool:
            self.lost()
            return self._ready().submit(work, *given)

    def lost(self) -> None:
        """The process has ended: the next question starts another."""
        self._pool = None

    def close(self) -> None:
        """End the process, also in the middle of its work."""
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None

    def _ready(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, CONTEXT, _started, (self._begin, self._given))
        return self._pool


def _started(begin: Callable[..., object], given: tuple[Any, ...]) -> None:
    import signal
    import threading

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the board, which then ends this process
    threading.Thread(target=_end_with_parent, daemon=True).start()
    begin(*given)


def _end_with_parent() -> None:
    """A board that is killed cannot end this process, so it watches."""
    import os

    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)
