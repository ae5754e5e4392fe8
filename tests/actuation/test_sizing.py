"""Cylinder, screw, pump and crank: by hand, by virtual work, and against a textbook example."""

from __future__ import annotations

import math
from typing import Any

import pytest

from linkage.actuation.sizing import (
    locking_friction,
    lowering_torque,
    raising_torque,
    screw_efficiency,
    size_hydraulic,
    size_screw,
    sizing,
)
from linkage.document.drive import Hydraulic, Screw
from tests.actuation.cases import demo, solved
from tests.studies import MERROW, OSTREL, changed, solution, source


def hydraulic(**more: Any) -> Hydraulic:
    return Hydraulic.model_validate({"bore": 32, "rod": 14, "pressure": 8, "efficiency": 0.9} | more)


def screw(**more: Any) -> Screw:
    return Screw.model_validate({"lead": 4, "mean_diameter": 14, "friction": 0.12} | more)


def test_pressures_and_flow_by_hand() -> None:
    found = size_hydraulic(hydraulic(), push=5000, pull=1200, speed=25, travel=130)
    assert found.push_pressure == pytest.approx(5000 / 0.9 / (math.pi * 16**2))
    assert found.pull_pressure == pytest.approx(1200 / 0.9 / (math.pi * (16**2 - 7**2)))
    assert found.flow == pytest.approx(math.pi * 16**2 * 25 * 60 / 1e6)
    assert found.volume == pytest.approx(math.pi * 16**2 * 130 / 1e6)
    assert found.power == pytest.approx(8e6 * math.pi * 0.016**2 * 0.025)


@pytest.mark.parametrize(("push", "pull", "back"), [(5000, 1200, None), (5000, 1200, 0.4), (100, 3000, 0.4)])
def test_the_least_bore_needs_just_the_working_pressure(push: float, pull: float, back: float | None) -> None:
    h = hydraulic(back_pressure=back)
    least = size_hydraulic(h, push, pull, 25, 130).least_bore
    found = size_hydraulic(h.model_copy(update={"bore": least}), push, pull, 25, 130)
    assert max(found.push_pressure, found.pull_pressure) == pytest.approx(h.pressure, rel=1e-12)


def test_screw_does_the_work_that_its_efficiency_leaves() -> None:
    s = screw(flank_angle=15, collar_diameter=20, collar_friction=0.05)
    torque = raising_torque(1000, s)
    assert 2 * math.pi * torque * screw_efficiency(s) == pytest.approx(1000 * 4)
    size = size_screw(s, 1000, 25, 130)
    assert size.power == pytest.approx(1000 * 0.025 / screw_efficiency(s) / s.efficiency)
    assert size.turns == pytest.approx(130 / 4)
    assert size.rpm == pytest.approx(25 / 4 * 60)


def test_a_frictionless_screw_gives_all_and_runs_back() -> None:
    s = screw(friction=0.0)
    assert screw_efficiency(s) == pytest.approx(1.0)
    assert lowering_torque(1.0, s) == pytest.approx(-4 / (2 * math.pi))
    assert not size_screw(s, 1000, 25, 130).self_locking


@pytest.mark.parametrize("collar", [{}, {"collar_diameter": 20, "collar_friction": 0.05}])
def test_locking_friction_is_where_the_lowering_torque_vanishes(collar: dict[str, float]) -> None:
    least = locking_friction(screw(**collar))
    assert lowering_torque(1.0, screw(friction=least, **collar)) == pytest.approx(0.0, abs=1e-12)
    assert size_screw(screw(friction=least * 1.01, **collar), 1, 1, 1).self_locking
    if not collar:
        tangent = 4 / (math.pi * 14)
        assert least == pytest.approx(tangent * math.cos(math.radians(14.5)))


def test_demo_screw_holds_and_its_motor_is_enough() -> None:
    r = solution(MERROW).results
    found = r.sizing.screw
    assert found is not None
    assert found.self_locking
    assert r.sizing.push == pytest.approx(max(float(x) for x in [r.drive.push[i].max() for i in range(8)]))
    assert found.power < 250


def test_hand_pump_by_virtual_work() -> None:
    """Work at the grip x efficiency = pressure x volume, over the whole stroke at the greatest pressure."""
    r = solution(OSTREL).results
    hand, cylinder, entry = r.sizing.hand, r.sizing.hydraulic, source(OSTREL).study.gear.actuator
    assert hand is not None
    assert cylinder is not None
    assert entry.hand is not None
    pressure = max(cylinder.push_pressure, cylinder.pull_pressure)
    at_grip = hand.effort * (entry.hand.handle_stroke or 0.0) * hand.strokes
    assert at_grip * entry.hand.efficiency == pytest.approx(pressure * cylinder.volume * 1e6, rel=1e-9)


def test_hand_crank_by_virtual_work() -> None:
    crank = {"kind": "crank", "arm": 150, "ratio": 2, "effort": 150, "source": "test"}
    _, stroke, drive = demo()
    entry = changed({"gear.actuator.hand": crank}).gear.actuator
    found = sizing(entry, stroke, drive).hand
    assert found is not None
    assert entry.screw is not None
    screwed = drive.push[drive.worst()] * 4 / screw_efficiency(entry.screw)  # N mm for one turn of the screw
    assert found.effort * 2 * math.pi * 150 * 2 * 0.8 == pytest.approx(screwed)
    assert found.strokes == pytest.approx(stroke.actuator_stroke / 4 * 2)


def test_without_a_cycle_time_there_is_no_speed() -> None:
    _, stroke, drive = solved({"gear.actuator.cycle_time": None})
    found = sizing(changed({"gear.actuator.cycle_time": None}).gear.actuator, stroke, drive)
    assert math.isnan(found.speed)
    assert found.screw is not None
    assert math.isnan(found.screw.power)
