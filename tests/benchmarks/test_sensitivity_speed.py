"""Exact derivatives against differences of solutions, each dimension moved both ways; ``pytest -m benchmark -s``."""

from __future__ import annotations

import pytest

from linkage.sensitivity import dimensions, sensitivity
from linkage.solution import solve
from tests.benchmarks.measure import least
from tests.studies import solution, source


@pytest.mark.benchmark
def test_derivatives_are_two_hundred_times_faster_than_differences() -> None:
    given = solution()
    count = len(dimensions(given.results.study))
    exact, once = least(lambda: sensitivity(given), lambda: solve(source(), closely=False), runs=3)
    ratio = 2 * count * once / exact
    print(
        f"\n{len(sensitivity(given).lines)} results by {count} dimensions: {exact:.2f} s; {2 * count} solutions of"
        f" {once:.2f} s would take {2 * count * once:.0f} s: {ratio:.0f} times"
    )
    assert ratio >= 200
