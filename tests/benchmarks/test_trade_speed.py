"""A point of a trade study against one solution of the study: nothing is added to it; ``pytest -m benchmark -s``."""

from __future__ import annotations

import pytest

from linkage.report.headline import headline
from linkage.solution import solve
from linkage.trade import run, varies
from linkage.trade.run import Work
from tests.benchmarks.measure import least
from tests.studies import MERROW, source, table

POINTS = 4


@pytest.mark.benchmark
def test_a_point_costs_hardly_more_than_a_solution() -> None:
    plain = table()
    work = Work(MERROW, "", plain, varies([f"gear.leg.swing_up=88:92:{POINTS}"], plain), headline)
    grid, once = least(lambda: run(work, "", [], None), lambda: solve(source(), closely=False), runs=3)
    each = grid / (POINTS + 1)  # the study as it is comes first
    print(f"\na point of a trade study {each:.2f} s, one solution {once:.2f} s: {each / once:.2f} times")
    assert each < 1.5 * once
