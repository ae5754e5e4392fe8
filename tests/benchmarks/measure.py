"""How benchmarks measure: processor time, least of several runs, growth over sizes, commands in a process of their own.

Other work on the machine takes wall clock; it takes processor time only through cache and clock rate.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np

from tests.studies import ROOT

WORK = 1.85e-3
"""s of processor time that `work` takes on the machine at rest."""


def work() -> float:
    """Processor time, s, of a fixed piece of work: many small steps of numpy, as a glance is. The speed of a shared
    machine changes by half within a minute; a time divided by that of this work beside it hardly does."""
    points, few, many = (np.exp(1j * np.linspace(0, 2, n)) for n in (181, 5, 2001))
    start = time.thread_time()
    for k in range(60):
        size = np.abs(points * (0.5 + k * 1e-3) + points.conj())
        np.minimum(np.where(size > 0.4, size, 0.0), size).max()
        np.argsort(few.real)
        (points[None] * few.real[:, None]).real.sum(axis=0)
        tuple((i, float(x)) for i, x in enumerate(few.real.tolist()))
        if k % 6 == 0:
            np.sqrt(many * many.conj() + 1.0)
    return time.thread_time() - start


class Spent(NamedTuple):
    """s of wall clock and of processor time."""

    wall: float
    processor: float


def least(*works: Callable[[], object], runs: int = 5) -> list[float]:
    """Least processor time of each in s; they take turns, so that a busy while of the machine hits all of them."""
    times = np.full((runs, len(works)), np.inf)
    for run in range(runs):
        for i, work in enumerate(works):
            start = time.process_time()
            work()
            times[run, i] = time.process_time() - start
    return [float(t) for t in times.min(axis=0)]


def exponent(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """Power of the size with which the time grows: slope of the straight line through their logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def command(*words: str, runs: int = 1, codes: Sequence[int] = (0,)) -> Spent:
    """Least wall clock and least processor time of a run of Python with these arguments, its helpers included."""
    found = []
    for _ in range(runs):
        start, before = time.perf_counter(), children()
        done = subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False)
        wall, used = time.perf_counter() - start, children() - before
        if done.returncode not in codes:
            raise RuntimeError(f"{words} ended with {done.returncode}: {done.stderr[-500:]}")
        found.append(Spent(wall, used))
    return Spent(min(f.wall for f in found), min(f.processor for f in found))


def children() -> float:
    """Processor time in s of all children of this process that have ended."""
    used = os.times()
    return used.children_user + used.children_system


def at_work() -> float:
    """Processor time in s that all processes of the machine have used since it runs (Linux)."""
    first = Path("/proc/stat").read_text(encoding="ascii").splitlines()[0].split()
    user, nice, system, _, _, irq, soft = map(int, first[1:8])
    return (user + nice + system + irq + soft) / os.sysconf("SC_CLK_TCK")


def peak(pid: int) -> float:
    """Greatest memory of a process that runs, MB (VmHWM of its status; Linux)."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    line = next(line for line in status.splitlines() if line.startswith("VmHWM:"))
    return int(line.split()[1]) / 1024


def held() -> float:
    """Memory that this process holds now, MB; its `peak` counts from here on (Linux)."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    return peak(os.getpid())


def alone(modules: str) -> float:
    """Memory of a fresh process that has loaded these modules, MB."""
    line = f"import os, {modules}; from tests.benchmarks.measure import peak; print(peak(os.getpid()))"
    return float(
        subprocess.run([sys.executable, "-c", line], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    )


def machine() -> str:
    """Processors, and whether others work on them now. What is measured is a load of 1 itself, and a moment of 2."""
    load = os.getloadavg()[0]
    return f"{os.cpu_count()} cores, " + (f"machine shared (load {load:.1f})" if load > 2 else "machine quiet")
