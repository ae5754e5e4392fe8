"""Time of one glance while a pin is dragged; run with ``pytest -m benchmark -s``.

The machine is shared, and its speed changes by half within a minute. So each glance is measured between two runs of a
fixed piece of work of the same kind, many small steps of numpy, and its time is stated as what it would be where that
work takes `WORK` seconds, as it did on the machine at rest on which the budgets were set.
"""

from __future__ import annotations

import time
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from linkage.glance import Held, glance, moved
from tests.studies import MERROW, OSTREL, source

WORK = 1.85e-3
"""s of the processor."""

TARGET = 0.012
"""s of the processor for the demo: what leaves room for the drawing at 30 pictures a second."""

REACHED = {MERROW: 0.021, OSTREL: 0.019}
"""s of the processor, a tenth above what was measured last: slower than this is a loss."""

MOVES = 48


def work() -> float:
    """Time of the fixed piece of work, s."""
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


@pytest.mark.benchmark
@pytest.mark.xfail(reason="not reached: see docs/board.md", strict=True)
def test_a_glance_leaves_room_for_the_drawing_at_thirty_a_second() -> None:
    assert dragged(MERROW) <= TARGET
