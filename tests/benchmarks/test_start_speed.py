"""How long a command takes to begin, beside the bare libraries that it needs, and a whole check beside what is wanted
of it; ``pytest -m benchmark -s``."""

from __future__ import annotations

import os

import pytest

from tests.benchmarks.measure import YARDSTICK, YARDSTICK_QUIET, Spent, command
from tests.studies import MERROW

BARE = "import numpy, shapely, pydantic, typer"
READ = "from pathlib import Path; from linkage.document.reader import read; read(Path('{}'))"
CHECK = ("-m", "linkage", "check", str(MERROW))

WANTED = 1.5
"""s of processor time for a whole check, its start and its printing, on the machine whose yardstick is known."""

TURNS, BUSY = 7, 1.25
"""Runs in turn, and how much slower than quiet the machine may be for its verdict to count: beyond, what others do in
its caches slows a check and the yardstick by different parts."""


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
    """The whole process, in turn with a yardstick of the same kind of work, whose time tells how fast the machine is
    just now: other work on it makes both longer. The middle of the ratios of neighbouring runs counts."""
    command(*CHECK, codes=(0, 1))
    pairs = [_turn() for _ in range(TURNS)]
    quiet = sorted(YARDSTICK_QUIET * check.processor / yard.processor for yard, check in pairs)
    slower = sorted(yard.processor / YARDSTICK_QUIET for yard, _ in pairs)
    least, clock = min(c.processor for _, c in pairs), min(c.wall for _, c in pairs)
    print(
        f"\ncheck: {least:.2f} s of processor time, {clock:.2f} s by the clock, the least of {TURNS}; machine"
        f" {slower[0]:.2f} to {slower[-1]:.2f} times slower than quiet (load {os.getloadavg()[0]:.1f}); on a quiet one"
        f" {quiet[TURNS // 2]:.2f} s ({quiet[0]:.2f} to {quiet[-1]:.2f}), wanted {WANTED} s"
    )
    if slower[TURNS // 2] > BUSY:
        pytest.skip(f"a machine {slower[TURNS // 2]:.2f} times slower than quiet cannot tell")
    assert quiet[TURNS // 2] < WANTED


def _turn() -> tuple[Spent, Spent]:
    return command("-c", YARDSTICK), command(*CHECK, codes=(0, 1))
