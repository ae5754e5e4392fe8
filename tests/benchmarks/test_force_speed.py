"""Speed of forces and of emergency extension. Processor time of this process, the least of several runs."""

from __future__ import annotations

import pytest

from linkage.actuation.conditions import Condition
from linkage.actuation.drive import drive
from linkage.extension.faller import make_faller
from linkage.extension.simulate import simulate
from linkage.extension.table import make_table
from linkage.stroke import gear_and_stroke
from tests.benchmarks.measure import least
from tests.studies import changed

pytestmark = pytest.mark.benchmark


def test_all_forces_over_361_poses() -> None:
    """Eight conditions, both ways, every cause with friction, every pin: under 30 ms."""
    study = changed({"stroke.poses": 361})
    gear, stroke = gear_and_stroke(study)
    (found,) = least(lambda: drive(study, gear, stroke), runs=15)
    print(f"all forces over 361 poses, 8 conditions both ways: {1000 * found:.1f} ms")
    assert found < 0.030


def test_one_emergency_extension() -> None:
    """Under 100 ms, with friction at every pin, air and damping."""
    study = changed({})
    faller = make_faller(study, *gear_and_stroke(study))
    assert faller is not None
    table, case = make_table(faller), Condition(1.0, 38.0, 0.0, 0.8, -20.0)
    (found,) = least(lambda: simulate(faller, table, case), runs=15)
    print(f"one emergency extension: {1000 * found:.1f} ms")
    assert found < 0.100
