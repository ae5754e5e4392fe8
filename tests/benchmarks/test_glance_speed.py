"""Time of one glance while a pin is dragged; run with ``pytest -m benchmark -s``.

The machine is shared, so each glance is measured between two runs of a fixed piece of work (`measure.work`).
"""

from __future__ import annotations

import time
from pathlib import Path
from statistics import median

import pytest

from linkage.glance import Held, glance, moved
from tests.benchmarks.measure import WORK, work
from tests.studies import MERROW, OSTREL, source

REACHED = {MERROW: 0.020, OSTREL: 0.018}
"""s of the processor on the machine at rest. Measured last: 0.015 to 0.017, and 0.0135 to 0.017: slower than these
limits is a loss."""

MOVES = 48


def dragged(path: Path) -> float:
    """Median time of a glance over the moves of a pin, s, by the fixed piece of work beside each."""
    base, held = source(path).study, Held(path.parent)
    fs, wl = base.gear.brace.upper_pin
    taken = []
    for i in range(MOVES):
        study = moved(base, "gear.brace.upper_pin", (fs + 0.2 * (i % 24), wl + 0.1 * (i % 17)))
        before = work()
        start = time.thread_time()
        found = glance(study, held)
        spent = time.thread_time() - start
        taken.append(WORK * 2.0 * spent / (before + work()))
        assert found.sound
    return median(taken)


@pytest.mark.benchmark
@pytest.mark.parametrize("path", [MERROW, OSTREL])
def test_a_glance_is_no_slower_than_it_was(path: Path) -> None:
    spent = dragged(path)
    print(f"\n{path.parent.name}: glance {1e3 * spent:.1f} ms of the processor")
    assert spent < REACHED[path]
