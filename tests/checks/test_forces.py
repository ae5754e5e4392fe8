"""Findings on forces, sizing and emergency extension: what is judged, which way, and that each can fail."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from linkage.actuation.drive import drive
from linkage.actuation.sizing import sizing
from linkage.checks import Finding
from linkage.checks.emergency import emergency
from linkage.checks.forces import forces
from linkage.extension import extension
from linkage.results import Results
from linkage.stroke import gear_and_stroke
from tests.studies import MERROW, OSTREL, changed, solution


def judged(changes: dict[str, Any]) -> list[Finding]:
    """Findings of the demo with some fields changed; only forces and extension are solved again."""
    study = changed(changes)
    gear, stroke = gear_and_stroke(study)
    found = drive(study, gear, stroke)
    r = replace(
        solution(MERROW).results,
        study=study,
        gear=gear,
        stroke=stroke,
        drive=found,
        sizing=sizing(study.gear.actuator, stroke, found),
        extension=extension(study, gear, stroke),
    )
    return [*forces(r), *emergency(r)]


@cache
def plain() -> tuple[Finding, ...]:
    r: Results = solution(MERROW).results
    return (*forces(r), *emergency(r))


def one(found: list[Finding] | tuple[Finding, ...], code: str, subject: str = "") -> Finding:
    return next(f for f in found if f.code == code and subject in f.subject)


def test_the_demo_passes_all_of_them() -> None:
    assert {f.code for f in plain()} == {
        "actuator-moving",
        "motor-power",
        "self-locking",
        "emergency-locks",
        "emergency-speed",
        "emergency-closing",
        "extension-slam",
    }
    assert all(f.passed for f in plain())
    assert all(f.source for f in plain())


def test_a_weak_actuator_is_short_by_what_it_lacks() -> None:
    need = one(plain(), "actuator-moving", "up").actual
    found = one(judged({"gear.actuator.max_force": need - 100}), "actuator-moving", "up")
    assert found.margin == pytest.approx(-100)
    assert not found.passed
    assert "2 g" in found.state
    assert "92.0 deg" in found.at


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"gear.actuator.screw.motor_power_w": 100}, "motor-power"),
        ({"gear.actuator.screw.friction": 0.05}, "self-locking"),
        ({"gear.emergency.damper": []}, "extension-slam"),
        (
            {"gear.actuator.hand": {"kind": "crank", "arm": 100, "effort": 10, "source": "test"}},
            "hand-effort",
        ),
        (
            {
                "gear.actuator.screw": None,
                "gear.actuator.hydraulic": {"bore": 20, "rod": 10, "pressure": 7},
            },
            "hydraulic-pressure",
        ),
        ({"gear.friction.pin_radius": 90, "gear.friction.coefficient": 1.5}, "friction-jam"),
        ({"gear.spring[0].force_extended": 5, "gear.spring[0].force_compressed": 5}, "emergency-closing"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_each_can_fail(changes: dict[str, Any], code: str) -> None:
    assert not one(judged(changes), code).passed


def test_a_gear_that_stalls_says_where_and_at_what_speed_it_would_not() -> None:
    found = judged(
        {"speeds.gear_operating": 80, "speeds.emergency_extension": 75, "limits.air_speed.factor": 0.1, "air.thrust": 0}
    )
    locks, speed = one(found, "emergency-locks"), one(found, "emergency-speed", "highest")
    assert not locks.passed
    assert 5 < locks.actual < 90
    assert "lacking" in locks.state
    assert speed.actual == pytest.approx(58.3, abs=0.5)
    assert speed.margin == pytest.approx(speed.actual - 75)


def test_pressure_finding_names_the_least_bore() -> None:
    r = solution(OSTREL).results
    found = one(list(forces(r)), "hydraulic-pressure", "push")
    assert found.passed
    assert r.sizing.hydraulic is not None
    assert f"least {r.sizing.hydraulic.least_bore:.1f} mm" in found.state
