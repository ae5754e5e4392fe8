"""How long a command takes to begin, beside the bare libraries that it needs, and a whole check beside what is wanted
of it; ``pytest -m benchmark -s``."""

from __future__ import annotations

import statistics
import time

import pytest

from tests.benchmarks.measure import at_work, command
from tests.studies import MERROW

BARE = "import numpy, shapely, pydantic, typer"
READ = "from pathlib import Path; from linkage.document.reader import read; read(Path('{}'))"
CHECK = ("-m", "linkage", "check", str(MERROW))

WANTED = 1.5
"""s by the clock for a whole check, its start and its printing, with nothing else at work on two processors."""

TURNS, LEAST, OTHERS = 12, 3, 0.1
"""Runs; how many must count; processors that others may use, on the average of a run, for it to count."""


@pytest.mark.benchmark
def test_start_up() -> None:
    command(*CHECK, codes=(0, 1))  # compiled files
    bare, python = command("-c", BARE, runs=5), command("-c", "pass", runs=5)
    told = command("-m", "linkage", "--help", runs=5)
    read, check = command("-c", READ.format(MERROW), runs=5), command(*CHECK, runs=3, codes=(0, 1))
    print(
        f"\nprocessor time, s: Python {python.processor:.2f}, bare libraries {bare.processor:.2f}; noseleg --help"
        f" {told.processor:.2f} ({told.processor / bare.processor:.1f} times), document read {read.processor:.2f}"
        f" ({read.processor / bare.processor:.1f} times), check {check.processor:.2f}"
        f" ({check.processor / bare.processor:.1f} times)"
    )
    assert told.processor < bare.processor
    assert read.processor < 3.5 * bare.processor
    assert check.processor < 9 * bare.processor


@pytest.mark.benchmark
def test_a_check_from_start_to_end() -> None:
    """The whole process by the clock, as a user waits for it. Runs beside which others used processors do not count;
    that the machine itself is slower in some minutes than in others does, as nobody can tell it from the check."""
    command(*CHECK, codes=(0, 1))
    alone = [wall for wall, others in (_turn() for _ in range(TURNS)) if others < OTHERS]
    print(f"\ncheck by the clock, s, runs with nothing else at work: {' '.join(f'{w:.2f}' for w in sorted(alone))}")
    if len(alone) < LEAST:
        pytest.skip(f"others were at work beside {TURNS - len(alone)} of {TURNS} runs: nothing can be told")
    assert statistics.median(alone) < WANTED


def _turn() -> tuple[float, float]:
    """s by the clock, and how many processors others used meanwhile."""
    before, here = at_work(), time.process_time()
    spent = command(*CHECK, codes=(0, 1))
    ours = spent.processor + time.process_time() - here
    return spent.wall, (at_work() - before - ours) / spent.wall
