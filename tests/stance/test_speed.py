"""Speed of stance and stations; run with ``pytest -m benchmark -s``."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from linkage.gear import build
from linkage.loading import load_share
from linkage.loading.choices import rows_within
from linkage.loading.entry import load_model
from linkage.loading.extremes import cg_range
from linkage.loading.polygon import loading_region
from linkage.loading.review import load_review
from linkage.stance import grounds, settled_range, standing
from linkage.stance.settled import Shape
from linkage.stance.suspension import suspension
from linkage.stations import stations
from tests.loading.test_speed import twelve_items
from tests.stance.springs import SPRINGS
from tests.studies import changed


def median_of(times: int, work: Callable[[], Any]) -> float:
    taken = []
    for _ in range(times):
        for kept in (rows_within, cg_range, loading_region):
            kept.cache_clear()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return float(np.median(taken))


@pytest.mark.benchmark
def test_loading_and_stance_of_the_demo() -> None:
    study = changed({})
    gear = build(study)

    def work() -> None:
        states, model = grounds(study, gear), load_model(study)
        share = load_share(model, states[0].stance, (0.15, 0.2))
        load_review(study, share)
        stations(study, model, states[0], standing(study, gear, states, model))

    work()
    taken = median_of(7, work)
    print(f"\nloading, map, stance and stations of the demo: {taken * 1e3:.0f} ms")
    assert taken < 0.1


@pytest.mark.benchmark
@pytest.mark.parametrize("optional", [0, 4, 8])
def test_settled_stance_of_twelve_items(optional: int) -> None:
    rates = {name: {"rate": rate, "source": "x"} for name, rate in (("nose_tyre", 60), ("nose_strut", 25))}
    study = changed({"springs": {**SPRINGS, **rates}})
    gear = build(study)
    springs, static = suspension(study, gear), grounds(study, gear)[0].stance
    assert springs is not None
    model = twelve_items(optional, 1)
    items = tuple(replace(i, fs_mm=2200 + 0.1 * i.fs_mm) for i in model.items)
    near = replace(model, items=items, empty_fs_mm=2250.0)
    taken = median_of(3, lambda: settled_range(near, springs, static, Shape(1980.0, study.airframe.propeller, None)))
    print(f"\n12 items, {2**optional} choices: settled extremes in {taken * 1e3:.0f} ms")
    assert taken < 2.0
