"""How long a Monte Carlo of the demo takes, gaps included, and how much memory. Run with `pytest -m benchmark -s`."""

from __future__ import annotations

import resource
import time

import pytest

from linkage.tolerance import spread
from tests.tolerance.bench import merrow


@pytest.mark.benchmark
def test_a_hundred_thousand_gears() -> None:
    base = merrow()
    begin, cpu = time.perf_counter(), time.process_time()
    found = spread(base, 100_000, 1)
    took, worked = time.perf_counter() - begin, time.process_time() - cpu
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    places = f"{len(base.watches)} places each"
    print(f"\n100 000 gears, gaps at {places}: {took:.1f} s, {worked:.1f} s of one core, {memory:.0f} MB")
    assert found.samples == 100_000
    assert worked < 10.0
    assert memory < 1024
