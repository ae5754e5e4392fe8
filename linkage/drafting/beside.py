"""A process beside the board that answers one question at a time; begun with the first, renewed where it has ended."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any, TypeVar

from linkage.crew import SPAWNED, settle

T = TypeVar("T")


@dataclass(frozen=True)
class Failed:
    """Why a question has no answer."""

    why: str


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
            self._pool = None
            return self._ready().submit(work, *given)

    def outcome(self, job: Future[T]) -> T | Failed:
        """What came of a question that is done, or why nothing did; the next one starts another process if need be."""
        try:
            return job.result()
        except (BrokenProcessPool, CancelledError):
            self._pool = None
            return Failed("the process beside the board has ended; the next change starts another")
        except Exception as err:  # a fault of the work must not take the window down; it is shown instead
            return Failed(f"{type(err).__name__}: {err}")

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
            self._pool = ProcessPoolExecutor(1, SPAWNED, _started, (self._begin, self._given))
        return self._pool


def _started(begin: Callable[..., object], given: tuple[Any, ...]) -> None:
    settle()
    begin(*given)
