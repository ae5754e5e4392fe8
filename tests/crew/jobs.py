"""Work for crews: functions that another process can import."""

from __future__ import annotations

import os
import signal
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.random import SeedSequence


@dataclass(frozen=True)
class Job:
    """``flag``: a file; what happens to the worker happens only while it is not there."""

    seed: SeedSequence
    number: int
    flag: Path | None = None
    pause: float = 0.0


def spread(job: Job) -> float:
    """A number that only the seed decides."""
    time.sleep(job.pause)
    return float(np.random.default_rng(job.seed).normal(size=1000).sum())


def killed_once(job: Job) -> float:
    """Ends its own worker the hard way, half-way and the first time only."""
    value = spread(job)
    if job.flag is not None and not job.flag.exists():
        job.flag.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return value


def killed_always(job: Job) -> float:
    """A batch that no worker survives."""
    value = spread(job)
    if job.number == 2:
        os.kill(os.getpid(), signal.SIGKILL)
    return value


def fails(job: Job) -> float:
    """Raises on one batch."""
    if job.number == 3:
        raise ValueError("this batch is wrong")
    return spread(job)


def threads(_: Job) -> str | None:
    """What the worker tells its linear algebra."""
    return os.environ.get("OMP_NUM_THREADS")


def whose(seconds: float) -> int:
    """Process that did it, after a while."""
    time.sleep(seconds)
    return os.getpid()


def ended(group: int) -> bool:
    """No process of the group is left, within a few seconds."""
    until = time.monotonic() + 10.0
    while time.monotonic() < until:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False
