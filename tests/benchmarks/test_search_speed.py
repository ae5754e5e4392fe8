"""Speed and memory of a search: candidates screened over the whole stroke, wishes of the demo study."""

from __future__ import annotations

import os
import time

import pytest

from linkage.crew import Workers, gather
from linkage.search import batches, screen_batch
from linkage.search.screened import PASSED, POSED, SAMPLED
from tests.benchmarks.measure import alone, children, held, peak
from tests.search.finding import demo

pytestmark = pytest.mark.benchmark

WANTED_RATE = 4e6 / 60
"""Candidates/s on two processors."""

SIZE = 1 << 15


def test_one_processor() -> None:
    """Half of the wanted rate, by this process's own time, best of several batches."""
    study, items = demo()
    given = batches(study, items, 9 * SIZE, 1, SIZE, 1)
    screen_batch(given[0])  # libraries and lattice
    times = []
    for batch in given[1:]:
        start = time.process_time()
        found = screen_batch(batch)
        times.append(time.process_time() - start)
    rate = SIZE / min(times)
    counts = found.counts
    share = 100 * counts[POSED] / counts[SAMPLED]
    mean = SIZE * len(times) / sum(times)
    print(f"one processor: {60e-6 * rate:.1f} million/min at best, {60e-6 * mean:.1f} on average")
    print(f"  {share:.1f} % looked at at 33 poses or more, {counts[PASSED]} of {SIZE} pass")
    assert rate > WANTED_RATE / 2


def test_two_processes() -> None:
    """Four million candidates by wall clock, with the start of the workers, and their memory."""
    study, items = demo()
    given = batches(study, items, 1 << 22, 1, SIZE, 1)
    others = held()  # by what ran before in this process
    start, before = time.perf_counter(), children()
    with Workers(2) as workers:
        found = gather(screen_batch, given, workers)
        peaks = [peak(pid) for pid in workers.pids()]  # theirs alone, not of whatever else was started before
    seconds, work = time.perf_counter() - start, children() - before
    total = sum(r.counts[SAMPLED] for r in found.results)
    posed = sum(r.counts[POSED] for r in found.results)
    own = peak(os.getpid()) - others + alone("linkage.crew, linkage.search, linkage.solution, scipy.optimize")
    print(f"two processes: {total} in {seconds:.1f} s, {60e-6 * total / seconds:.1f} million/min;")
    rate = total * 2 / work
    print(f"  {work:.1f} s of processor time with the workers' start: {60e-6 * rate:.1f} million/min on two processors")
    print(f"  {posed} looked at at 33 poses or more; greatest memory {max(peaks):.0f} MB a worker, {own:.0f} MB here")
    assert total == 1 << 22
    assert rate > WANTED_RATE
    assert len(peaks) == 2
    assert sum(peaks) + own < 1000
