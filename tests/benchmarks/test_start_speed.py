"""How long a command takes to begin, beside the bare libraries that it needs; ``pytest -m benchmark -s``."""

from __future__ import annotations

import pytest

from tests.benchmarks.measure import command
from tests.studies import MERROW

BARE = "import numpy, shapely, pydantic, typer"
READ = "from pathlib import Path; from linkage.document.reader import read; read(Path('{}'))"


@pytest.mark.benchmark
def test_start_up() -> None:
    command("-m", "linkage", "check", str(MERROW), codes=(0, 1))  # compiled files
    bare, python = command("-c", BARE, runs=5), command("-c", "pass", runs=5)
    told = command("-m", "linkage", "--help", runs=5)
    read = command("-c", READ.format(MERROW), runs=5)
    check = command("-m", "linkage", "check", str(MERROW), runs=3, codes=(0, 1))
    print(
        f"\nprocessor time, s: Python {python.processor:.2f}, bare libraries {bare.processor:.2f}; noseleg --help"
        f" {told.processor:.2f} ({told.processor / bare.processor:.1f} times), document read {read.processor:.2f}"
        f" ({read.processor / bare.processor:.1f} times), check {check.processor:.2f}"
        f" ({check.processor / bare.processor:.1f} times, {check.wall:.2f} s by the clock)"
    )
    assert told.processor < bare.processor
    assert read.processor < 3.5 * bare.processor
    assert check.processor < 15 * bare.processor
