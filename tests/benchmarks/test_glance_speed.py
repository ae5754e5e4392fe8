"""Time of one glance while a pin is dragged; run with ``pytest -m benchmark -s``."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from linkage.document.variants import varied
from linkage.glance import Held, glance, moved
from tests.studies import MERROW, OSTREL, source

BUDGET = {MERROW: 0.012, OSTREL: 0.015}
"""s of the processor on a quiet machine. Work beside it takes cache and clock away: four times as much is allowed."""


@pytest.mark.benchmark
@pytest.mark.parametrize("path", [MERROW, OSTREL])
def test_a_glance_is_within_a_pictures_time(path: Path) -> None:
    base, held = source(path).study, Held(path.parent)
    fs, wl = base.gear.brace.upper_pin
    way = [{"gear.brace.upper_pin[0]": fs + 0.2 * i, "gear.brace.upper_pin[1]": wl + 0.1 * i} for i in range(12)]
    taken, reading = [], []
    for place in way:
        start = time.thread_time()
        found = glance(varied(base, place), held)
        taken.append(time.thread_time() - start)
        assert found.sound
        start = time.thread_time()
        moved(base, "gear.brace.upper_pin[0]", place["gear.brace.upper_pin[0]"])
        reading.append(time.thread_time() - start)
    print(f"\n{path.parent.name}: glance {1e3 * min(taken):.1f} ms, moved {1e3 * min(reading):.1f} ms")
    assert min(taken) < 4 * BUDGET[path]
