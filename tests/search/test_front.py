"""The front, its scale and its thinning."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.document.wanted import Weights
from linkage.search.front import COUNTED, merits, non_dominated, scale, thinned

ROWS = st.lists(st.tuples(*[st.integers(0, 6)] * 4), min_size=1, max_size=60)


@settings(derandomize=True, deadline=None, max_examples=150)
@given(ROWS)
def test_the_front_is_what_nothing_equals_or_beats(rows: list[tuple[int, ...]]) -> None:
    values = np.array(rows, dtype=float)
    front = set(non_dominated(values).tolist())
    for i, row in enumerate(values):
        beaten = any(np.all(other >= row) and np.any(other > row) for other in values)
        twin_before = any(np.array_equal(other, row) for other in values[:i])
        assert (i in front) == (not beaten and not twin_before)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(ROWS, st.integers(0, 60))
def test_the_front_of_fronts_is_the_front(rows: list[tuple[int, ...]], cut: int) -> None:
    values = np.array(rows, dtype=float)
    parts = [values[:cut], values[cut:]]
    both = np.concatenate([p[non_dominated(p)] for p in parts if len(p)])
    whole = values[non_dominated(values)]
    assert sorted(map(tuple, both[non_dominated(both)])) == sorted(map(tuple, whole))


@settings(derandomize=True, deadline=None, max_examples=80)
@given(ROWS, st.integers(1, 12))
def test_thinning_keeps_the_best_of_each(rows: list[tuple[int, ...]], n: int) -> None:
    values = np.array(rows, dtype=float)
    by = scale(values, Weights())
    kept = thinned(values, by, n)
    score = by.score(values)
    assert len(kept) == len(set(kept.tolist())) == min(n, len(values))
    assert score[kept[0]] == score.max()
    assert np.all(np.diff(score[kept]) <= 0)
    if n >= 5:
        assert np.array_equal(values[kept].max(axis=0), values.max(axis=0))


def test_less_force_and_moment_are_better_and_weights_count() -> None:
    measures = {"margin": [1.0, 1.0], "force": [900.0, 1000.0], "moment": [50.0, 40.0], "lock": [2.0, 2.0]}
    values = merits({k: np.array(v) for k, v in measures.items()})
    assert COUNTED == ("margin", "force", "moment", "lock")
    assert non_dominated(values).tolist() == [0, 1]
    assert np.argmax(scale(values, Weights(force=3.0)).score(values)) == 0
    assert np.argmax(scale(values, Weights(moment=3.0)).score(values)) == 1
    assert scale(values, Weights(margin=0, force=0, moment=0, lock=0)).weights.tolist() == [0.25] * 4


def test_no_bay_leaves_finite_scores() -> None:
    measures = {"margin": [np.inf, np.inf], "force": [900.0, 1000.0], "moment": [50.0, 40.0], "lock": [2.0, 2.0]}
    values = merits({k: np.array(v) for k, v in measures.items()})
    assert np.isfinite(scale(values, Weights()).score(values)).all()


def test_well_spread_ones_are_spread() -> None:
    line = np.linspace(0.0, 1.0, 101)
    values = np.stack([line, 1 - line, np.zeros(101), np.zeros(101)], axis=1)
    kept = np.sort(values[thinned(values, scale(values, Weights()), 5), 0])
    assert np.diff(kept).min() > 0.2
