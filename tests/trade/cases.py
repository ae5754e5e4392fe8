"""Trade studies to test with: real ones, and points made up."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from linkage.crew import Workers
from linkage.report.headline import headline
from linkage.trade import Point, Trade, Vary, run, varies
from linkage.trade.run import Work
from tests.studies import MERROW, table

PIN, OFFSET = "gear.brace.upper_pin[0]", "gear.brace.over_centre"


def work(path: Path, *texts: str) -> Work:
    return Work(path, "0" * 64, table(path), varies(texts, table(path)), headline)


@cache
def demo() -> Trade:
    """Two designs that work, one wrong, one impossible: with two workers."""
    with Workers(2) as pool:
        return run(work(MERROW, f"{OFFSET}=-1,4.2,9", f"{PIN}=1140,1300"), "demo", ["x=1"], pool)


def synthetic(short: Any, x: Any = (0, 1, 2, 3, 4), y: Any = None, present: bool = True) -> Trade:
    """Points with two findings: "a" with these margins, "b" always short."""
    grid = [(float(i),) for i in x] if y is None else [(float(i), float(j)) for i in x for j in y]
    points = [
        Point(v, reason="cannot be computed: =1+1") if m is None
        else Point(v, {"least_margin_mm": float(m), "gap_mm": v[0] ** 2}, {"gap_mm": ((">=", 4.0),)},
                   {"a >= (x), mm": float(m), "b >= (x), mm": -1.0}, "=1+1", -1.0, "mm")
        for v, m in zip(grid, short, strict=True)
    ]  # fmt: skip
    numbers = [Vary("gear.x", tuple(map(float, x)), "mm", 2.0)]
    numbers += [] if y is None else [Vary("gear.y", tuple(map(float, y)), "mm", 1.0)]
    here = Point((2.0,), {"least_margin_mm": 1.0}, {}, {"a >= (x), mm": 1.0, "b >= (x), mm": -1.0}, "b", -1.0, "mm")
    return Trade("=title", "0", (), tuple(numbers), tuple(points), here if present else None)
