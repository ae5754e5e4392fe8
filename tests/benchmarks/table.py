"""docs/performance.md, measured: ``python -m tests.benchmarks.table > docs/performance.md`` in the project's folder."""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from tests.benchmarks.growths import rows

HEAD = """# Performance

Written by `python -m tests.benchmarks.table > docs/performance.md`: every figure is measured as the page is written.
Times are processor time with the demo study (studies/merrow_m2r), the least of several runs, unless they say "by the
clock". A shared machine (load above 2) makes times by the clock longer by whatever others do, and processor time by a
part of it. What tests hold are ratios within one run: `pytest -m benchmark -s tests/benchmarks`.

Growth: time ~ size^exponent, a straight line through the logarithms of three sizes; below 1 where a fixed part counts.
"""

READING = """
Ratios held by `pytest -m benchmark` (each prints its figures):

- kernel: at most 3 times a closed form written by hand for one gear, 500 times faster than a general root finder;
- pin forces: at least 0.6 of the rate of a bare solve of the same systems;
- sweep: 5 times faster than a plain union of poses of the same error;
- clearance: 10 times faster than evenly spaced poses that prove as much;
- search: 4 million candidates a minute on two processors;
- sensitivity: 200 times faster than differences of solutions; trade: a point costs at most 1.5 solutions;
- animation: 6 times faster than the usual way of matplotlib for the same frames; letters that change 5 times faster;
- start-up: help before any library of numbers is loaded, a document read within 3.5 times their bare loading, a whole
  check within 9 times; a check within 1.5 s by the clock, of the runs beside which nothing else was at work (with fewer
  than three of them nothing is told).
"""


def main() -> None:
    now = datetime.now(UTC)
    print(HEAD)
    print("| what | figure | growth | machine | what limits it |\n| --- | --- | --- | --- | --- |")
    for row in rows(lambda text: print(text, file=sys.stderr, flush=True)):
        growth = "<br>".join(row.growth)
        print(f"| {row.name} | {row.figure} | {growth} | {row.machine} | {row.limit} |", flush=True)
    print(f"\nMeasured {now:%Y-%m-%d %H:%M} UTC with Python {sys.version.split()[0]}.")
    print(READING, end="")


if __name__ == "__main__":
    main()
