"""Ctrl-C while a search goes on: it ends the step under way and never loses what was found before."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from types import FrameType, TracebackType
from typing import Any, TypeVar

from linkage.crew import Gathered, Tell, gather

B = TypeVar("B")
R = TypeVar("R")


class Interrupts:
    """Within it Ctrl-C raises ``KeyboardInterrupt`` only where it is ``awaited``, and once each time; elsewhere it is
    ``heard`` and work goes on. Outside the main thread, or where Ctrl-C means something else already, nothing changes.
    """

    def __init__(self) -> None:
        self.awaited = self.heard = False
        self._before: Any = None

    def __enter__(self) -> Interrupts:
        main = threading.current_thread() is threading.main_thread()
        if main and signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            self._before = signal.signal(signal.SIGINT, self._hear)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, err: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)

    def gathered(
        self, work: Callable[[B], R], batches: Sequence[B], executor: Executor | None, tell: Tell
    ) -> Gathered[R]:
        """`gather`, where alone Ctrl-C is awaited; one that was heard between two of them has stopped the work too."""
        self.awaited = True
        try:
            done = gather(work, batches, executor, tell)
        finally:
            self.awaited = False
        return replace(done, stopped=done.stopped or self.heard)

    def _hear(self, number: int, frame: FrameType | None) -> None:
        if self.awaited:
            self.awaited = False
            raise KeyboardInterrupt
        self.heard = True
