"""Speed of the extremes; run with ``pytest -m benchmark -s``."""

from __future__ import annotations

import time

import numpy as np
import pytest

from linkage.loading import LoadItem, LoadModel, Stance2, cg_range, ground_range


def twelve_items(optional: int, seed: int) -> LoadModel:
    random = np.random.default_rng(seed)
    items = []
    for i in range(12):
        least = float(random.integers(5, 40))
        items.append(
            LoadItem(
                f"item{i}",
                least,
                least + float(random.integers(5, 80)),
                float(random.uniform(1500, 4000)),
                float(random.uniform(500, 1200)),
                optional=i < optional,
                kind="fuel" if i >= 10 else "payload",
            )
        )
    low = sum(i.min_kg for i in items)
    return LoadModel(800.0, 2300.0, 900.0, tuple(items), 950.0 + low, zero_fuel_cap_kg=860.0 + low)


@pytest.mark.benchmark
@pytest.mark.parametrize("optional", [0, 4, 8])
def test_extremes_of_twelve_items_under_50_ms(optional: int) -> None:
    stance = Stance2(800 + 10j, 2900 + 0j)
    times = []
    for seed in range(5):  # a new model each time, so that nothing is remembered
        model = twelve_items(optional, seed)
        start = time.perf_counter()
        cg_range(model)
        ground_range(model, stance)
        times.append(time.perf_counter() - start)
    print(f"\n12 items, {2**optional} choices: 15 extremes in {np.median(times) * 1e3:.1f} ms")
    assert np.median(times) < 0.05
