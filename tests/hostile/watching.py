"""What hostile input may not do: take long, take much memory, speak in tracebacks or to the terminal."""

from __future__ import annotations

import os
import resource
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, seed, settings

from linkage.errors import DocumentError, LinkageError, MechanismError
from linkage.files import write_whole

SEED = int(os.environ.get("HOSTILE_SEED", "0"))
"""0: the same input every time; any other: the input of that seed."""
LONGEST = 5.0
"""Seconds of processor time."""
KEEP = os.environ.get("HOSTILE_KEEP", "")
"""Folder for faults found: they are kept there and the run goes on, so that a long one finds more than the first."""
SEEN: Counter[str] = Counter()
"""What came of the input, how often; the slowest of each kind in ms."""


class TooLongError(BaseException):
    """Not an ``Exception``, which a reader of broken files may take for one of its library's."""


def campaign(times: int) -> Callable[[Any], Any]:
    """Decorator: so many examples, from the seed, none kept from one run to the next."""
    chosen = settings(
        max_examples=times,
        deadline=None,
        derandomize=SEED == 0,
        database=None,
        suppress_health_check=list(HealthCheck),
        print_blob=True,
    )
    return chosen if SEED == 0 else lambda test: seed(SEED)(chosen(test))


@contextmanager
def timed(what: str) -> Iterator[None]:
    """Fail where it hangs, and keep the longest time."""
    began = time.process_time()
    with no_longer_than(LONGEST):
        yield
    name = f"slowest {what}, ms"
    SEEN[name] = max(SEEN[name], int(1000 * (time.process_time() - began)))


@contextmanager
def kept(what: str, case: object) -> Iterator[None]:
    """With ``HOSTILE_KEEP``, write a fault down and go on, and now and then what was seen so far."""
    SEEN["tried"] += 1
    if KEEP and SEEN["tried"] % 100 == 0:
        write_whole(Path(KEEP) / f"seen-{os.getpid()}.txt", f"{dict(SEEN)} peak memory {peak_mb()} MB\n")
    try:
        yield
    except (Exception, TooLongError):
        if not KEEP:
            raise
        SEEN["FAULTS"] += 1
        folder = Path(KEEP)
        folder.mkdir(parents=True, exist_ok=True)
        content = f"{what}\n{traceback.format_exc()}\n{case!r}\n"
        (folder / f"{os.getpid()}-{SEEN['FAULTS']:04d}.txt").write_text(content, encoding="utf-8", errors="replace")


@contextmanager
def no_longer_than(seconds: float) -> Iterator[None]:
    """Stop with a traceback of where it hangs, on the process's own clock."""

    def late(*_: Any) -> None:
        raise TooLongError(f"longer than {seconds:g} s")

    signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def peak_mb() -> int:
    """Most memory that this process has had so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def is_a_message(err: LinkageError) -> None:
    """Bad news that a person can act on: where, what was found, what was expected; no order to a terminal."""
    text = str(err)
    assert text
    assert "Traceback" not in text
    if isinstance(err, DocumentError):
        assert err.faults
        assert all(f.field and f.expected for f in err.faults)
    else:
        assert isinstance(err, MechanismError)
        assert "nan" not in text.lower().split()
