"""One piece of work done by a twin of this process while this one goes on.

A twin is a fork: it begins within milliseconds and has all that is loaded and known here. Processes that do many
batches are spawned instead (`linkage.crew`), for a fork has the locks that threads of this process hold, and never
releases them. So there is a twin only on Linux, of a process of one thread that may use two processors (no progress bar
runs yet, no library has started threads); elsewhere the work is done here.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NoReturn, TypeVar

R = TypeVar("R")

END_WITH_PARENT = 1
"""Linux, prctl(2): PR_SET_PDEATHSIG, the signal that a process gets when its parent ends."""

SIZE = 8
"""Bytes that say how many follow: fewer came if the twin was lost on the way."""


@contextlib.contextmanager
def meanwhile(work: Callable[[], R]) -> Iterator[Callable[[], R]]:
    """Begin ``work`` in a twin and go on; call what comes to have the result, which can be pickled.

    ``work`` is done here when that is called, if there can be no twin, or it was lost, or ``work`` raised something
    there: so it raises the same here. No twin outlives the ``with`` or this process, however they end.
    """
    try:
        twin, pipe = _begin(work) if possible() else (0, -1)
    except OSError:  # no more processes, no more files
        twin = 0
    if not twin:
        yield work
        return
    try:
        with os.fdopen(pipe, "rb") as answer:
            yield lambda: _result(answer.read(), work)
    finally:
        with contextlib.suppress(OSError):  # waited for already, where nobody is to be told of a child's end
            os.kill(twin, signal.SIGKILL)
            os.waitpid(twin, 0)


def possible() -> bool:
    """Whether this process may have a twin that works beside it."""
    if sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2:
        return False
    try:
        return len(list(Path("/proc/self/task").iterdir())) == 1  # those of libraries count too
    except OSError:
        return False


def _begin(work: Callable[[], object]) -> tuple[int, int]:
    """The twin's process id, and the end of a pipe where its answer comes."""
    answer, told = os.pipe()
    parent = os.getpid()
    held = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # until each of the two knows which it is
    try:
        twin = os.fork()
        if twin == 0:
            _be_twin(work, told, parent)
    except OSError:
        os.close(answer)
        raise
    finally:
        os.close(told)
        signal.pthread_sigmask(signal.SIG_SETMASK, held)
    return twin, answer


def _be_twin(work: Callable[[], object], told: int, parent: int) -> NoReturn:
    """Answer and end, and nothing else: what this process has open and still wants to do is its parent's."""
    done = False
    with contextlib.suppress(BaseException):
        _end_with(parent)
        found = pickle.dumps(work(), pickle.HIGHEST_PROTOCOL)
        with os.fdopen(told, "wb") as pipe:
            pipe.write(len(found).to_bytes(SIZE, "big") + found)
        done = True
    os._exit(0 if done else 1)


def _end_with(parent: int) -> None:
    """Let Ctrl-C end this process without a word, and the end of its parent, killed or not."""
    import ctypes

    signal.signal(signal.SIGINT, signal.SIG_DFL)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    ctypes.CDLL(None).prctl(END_WITH_PARENT, signal.SIGKILL)
    if os.getppid() != parent:  # it ended before that
        os._exit(1)


def _result(answer: bytes, work: Callable[[], R]) -> R:
    """What the twin answered; if that is not whole, done here."""
    if len(answer) < SIZE or int.from_bytes(answer[:SIZE], "big") != len(answer) - SIZE:
        return work()
    result: R = pickle.loads(answer[SIZE:])
    return result
