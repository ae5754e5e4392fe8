"""Many batches of work done by a crew: here, by processes of this machine, or by any executor; none is lost.

The same batches give the same results whatever the number of workers: results come in the order of the batches, and
each batch brings its own random numbers (`seeds`).
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
import time
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from linkage.errors import LinkageError
from linkage.process import set_up

if TYPE_CHECKING:
    from numpy.random import SeedSequence

B = TypeVar("B")
R = TypeVar("R")
Tell = Callable[[int, int, float], None]
"""Called as ``tell(done, total, rate)`` after each batch; ``rate`` in batches/s since the beginning."""

TRIES = 3
"""Times that one batch may lose its worker before it is taken for the cause."""
AHEAD = 2
"""Batches per processor in the hands of an executor that does not say how many it wants."""
LOOK = 5.0
"""s after which the executor is asked anew how much it wants, for workers may come while none is free."""


SPAWNED = multiprocessing.get_context("spawn")
"""Not forked: see `Workers`."""


class LostBatchError(LinkageError):
    """A batch whose worker ended again and again, or one lost by an executor that cannot be renewed."""


@dataclass(frozen=True)
class Gathered(Generic[R]):
    """``results`` of the batches done, in the order of the batches; ``places``: which batches those are.

    ``stopped``: ended by Ctrl-C before all ``total`` were done; ``seconds`` of wall clock; ``redone``: how often a
    batch was given out again because its worker was lost.
    """

    results: tuple[R, ...]
    places: tuple[int, ...]
    total: int
    stopped: bool
    seconds: float
    redone: int

    @property
    def done(self) -> int:
        """How many batches are done."""
        return len(self.results)


def seeds(seed: int, n: int) -> list[SeedSequence]:
    """``n`` independent streams of random numbers, one per batch; they depend on ``seed`` and their place only."""
    from numpy.random import SeedSequence

    return SeedSequence(seed).spawn(n)


def gather(
    work: Callable[[B], R], batches: Sequence[B], executor: Executor | None = None, tell: Tell | None = None
) -> Gathered[R]:
    """Do ``work`` on every batch, here without an ``executor``. Only a few batches are in its hands at a time.

    ``work`` is a function that another process can import, batches and results can be pickled. Ctrl-C ends it early
    and keeps what is done. An exception raised by ``work`` comes through, with a note that names the batch;
    `LostBatchError` says that a batch ended its worker `TRIES` times.
    """
    going = _Round(work, batches, executor, tell)
    stopped = False
    try:
        going.run()
    except KeyboardInterrupt:
        stopped = True
    finally:
        going.drop()
    places = tuple(sorted(going.results))
    results = tuple(going.results[n] for n in places)
    return Gathered(results, places, len(batches), stopped, going.seconds, sum(going.lost.values()))


class _Round(Generic[B, R]):
    """One gathering under way."""

    def __init__(
        self, work: Callable[[B], R], batches: Sequence[B], executor: Executor | None, tell: Tell | None
    ) -> None:
        self.work, self.batches, self.executor, self.tell = work, batches, executor, tell
        self.results: dict[int, R] = {}
        self.flying: dict[Future[R], int] = {}
        self.waiting = deque(range(len(batches)))
        self.lost: Counter[int] = Counter()
        self.doubted: deque[int] = deque()
        self.alone: set[int] = set()
        self.begin = time.perf_counter()

    @property
    def seconds(self) -> float:
        return time.perf_counter() - self.begin

    def run(self) -> None:
        while self.waiting or self.flying or self.doubted:
            if self.executor is None:
                self._here()
                continue
            self._hand_out(self.executor)
            for future in wait(self.flying, LOOK, FIRST_COMPLETED).done:
                self._take(future)

    def drop(self) -> None:
        """Take back what is still out; nothing is, unless it ended early. Workers at it are ended."""
        for future in self.flying:
            future.cancel()
        if self.flying and isinstance(self.executor, Workers):
            self.executor.stop()

    def _here(self) -> None:
        number = self.waiting.popleft()
        try:
            self._keep(number, self.work(self.batches[number]))
        except Exception as err:
            raise self._named(err, number) from None

    def _hand_out(self, executor: Executor) -> None:
        """As many as the executor wants; one that was lost with others goes alone, for then it is the cause or not."""
        if self.doubted and not self.flying:
            self.alone.add(self.doubted[0])
            self._give(executor, self.doubted.popleft())
        elif not self.doubted and self.alone.isdisjoint(self.flying.values()):
            while self.waiting and len(self.flying) < _window(executor):
                self._give(executor, self.waiting.popleft())

    def _give(self, executor: Executor, number: int) -> None:
        try:
            self.flying[executor.submit(self.work, self.batches[number])] = number
        except BrokenExecutor as err:
            self._lose(number, err)

    def _take(self, future: Future[R]) -> None:
        number = self.flying.pop(future)
        try:
            self._keep(number, future.result())
        except getattr(self.executor, "deaths", ()) as err:
            self._doubt(number, err)
        except (BrokenExecutor, *getattr(self.executor, "losses", ())) as err:
            self._lose(number, err)
        except Exception as err:
            raise self._named(err, number) from err.__cause__  # the cause holds the worker's own traceback

    def _keep(self, number: int, result: R) -> None:
        self.results[number] = result
        if self.tell is not None:
            done = len(self.results)
            self.tell(done, len(self.batches), done / max(self.seconds, 1e-9))

    def _doubt(self, number: int, err: Exception) -> None:
        if number in self.alone:
            self._lose(number, err)  # raises: only a crew of its own is renewed
        self.lost[number] += 1
        self.doubted.append(number)

    def _lose(self, number: int, err: Exception) -> None:
        self.lost[number] += 1
        called = f"batch {number + 1} of {len(self.batches)}"
        if not isinstance(self.executor, Workers):
            gone = "given up by the executor; is the cluster's scheduler still there?"
            raise LostBatchError(f"{called} was lost with its worker: {str(err) or gone}") from err
        if self.lost[number] >= TRIES:
            why = "" if self.executor.started else "; no worker could start (a script needs its `if __name__` guard)"
            raise LostBatchError(
                f"{called} ended its worker {TRIES} times: killed from outside, out of memory or crashed{why}"
            ) from err
        self.waiting.appendleft(number)

    def _named(self, err: Exception, number: int) -> Exception:
        err.add_note(f"in batch {number + 1} of {len(self.batches)}")
        return err


def _window(executor: Executor) -> int:
    """Batches to have in its hands: what it says itself, else a few per processor."""
    return int(getattr(executor, "window", 0)) or AHEAD * (os.cpu_count() or 1)


@dataclass
class _Lane:
    """One process with its own queue, so that its end loses one batch only and names it."""

    pool: ProcessPoolExecutor
    pid: Future[int]
    processes: list[Any]
    given: list[Future[Any]] = field(default_factory=list)

    @property
    def busy(self) -> int:
        self.given = [f for f in self.given if not f.done()]
        return len(self.given)


class Workers(Executor):
    """``n`` processes of this machine, started when there is work for them; one that ends is replaced by a new one.

    They are spawned, not forked: a fork copies locks that threads of this process (progress bar, linear algebra) may
    hold, and never releases them; spawning is the same on every system. Their linear algebra uses one thread each,
    unless the environment says otherwise. They ignore Ctrl-C, which is for the one who gave the work, and end with it.
    """

    def __init__(self, n: int | None = None) -> None:
        self.window = max(1, n if n is not None else os.cpu_count() or 1)
        self.started = False
        self._lanes: list[_Lane] = []

    def submit(self, fn: Callable[..., R], /, *args: Any, **kwargs: Any) -> Future[R]:
        """Give work to the least busy process."""
        if len(self._lanes) < self.window and all(lane.busy for lane in self._lanes):
            self._lanes.append(_lane())
        lane = min(self._lanes, key=lambda lane: lane.busy)
        try:
            future = lane.pool.submit(fn, *args, **kwargs)
        except BrokenExecutor:
            self._lanes[self._lanes.index(lane)] = lane = _lane()
            future = lane.pool.submit(fn, *args, **kwargs)
        self.started = self.started or bool(self.pids())
        lane.given.append(future)
        return future

    def pids(self) -> list[int]:
        """Process ids of the workers that have begun."""
        begun = [lane.pid for lane in self._lanes if lane.pid.done() and not lane.pid.cancelled()]
        return [pid.result() for pid in begun if pid.exception() is None]

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let the workers go when they have done what they hold."""
        for lane in self._lanes:
            lane.pool.shutdown(wait, cancel_futures=cancel_futures)
        self._lanes.clear()

    def stop(self) -> None:
        """End the workers at once, whatever they hold, also those that have not yet begun. New work starts new ones."""
        for lane in self._lanes:
            for process in lane.processes:
                process.terminate()
        self.shutdown(wait=False, cancel_futures=True)


def _lane() -> _Lane:
    pool = ProcessPoolExecutor(1, SPAWNED, settle)
    with uninterrupted():
        pid = pool.submit(os.getpid)
    # Not public before Python 3.14, which can end them itself.
    return _Lane(pool, pid, list((getattr(pool, "_processes", None) or {}).values()))


@contextlib.contextmanager
def uninterrupted() -> Iterator[None]:
    """A process that starts here never hears of Ctrl-C, also not before `settle`, while it loads libraries."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing import resource_tracker

    resource_tracker.ensure_running()  # starting it lets signals through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def settle() -> None:
    """Begin a process that works for this one: Ctrl-C is not for it, and it ends with this one, killed or not. Best
    before anything heavy is imported."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    set_up()
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
