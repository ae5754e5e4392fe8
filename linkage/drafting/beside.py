"""A process beside the board that answers one question at a time; begun with the first, renewed where it has ended."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Any, TypeVar

from linkage.crew import settle

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
        pool, self._pool = self._pool, None
        if pool is None:
            return
        for process in tuple((pool._processes or {}).values()):  # the pool itself would wait for what is at work
            process.kill()
        pool.shutdown(wait=True, cancel_futures=True)

    def _ready(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, CONTEXT, _started, (self._begin, self._given))
        return self._pool


def _started(begin: Callable[..., object], given: tuple[Any, ...]) -> None:
    settle()
    begin(*given)
