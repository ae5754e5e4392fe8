"""Faults of actuator, springs, friction, air and emergency extension: field, value and what was expected."""

from __future__ import annotations

from typing import Any

import pytest

from linkage.actuation.drive import drive
from linkage.errors import DocumentError
from linkage.stroke import gear_and_stroke
from tests.studies import OSTREL, changed

DAMPER = {"on": "actuator", "force": 300, "at_speed": 0.1, "source": "test"}
CRANK = {"kind": "crank", "arm": 150, "effort": 150, "source": "test"}

BAD: list[tuple[str, dict[str, Any], str, str]] = [
    ("negative spring", {"gear.spring[0].force_extended": -450}, "gear.spring[0].force_extended", "greater than 0"),
    ("softens", {"gear.spring[0].force_compressed": 300}, "gear.spring[0].force_compressed", "at least 450 N"),
    ("frozen", {"gear.spring[0].temperature_c": -300}, "gear.spring[0].temperature_c", "greater than -273.15"),
    ("speeds", {"speeds.emergency_extension": 60}, "speeds.emergency_extension", "at most 46 m/s"),
    ("stall", {"speeds.stall_clean": 40}, "speeds.stall_clean", "at most 38 m/s"),
    (
        "friction beyond the pin",
        {"gear.friction": {"pin_radius": 6, "friction_radius": 7, "source": "x"}},
        "gear.friction.friction_radius",
        "at most pin_radius 6 mm",
    ),
    ("friction twice", {"gear.friction.friction_radius": 1}, "gear.friction", "either friction_radius or coefficient"),
    ("two ratings", {"gear.actuator.rated": [{"length": 300, "push": 1}]}, "gear.actuator.rated", "either max_force"),
    (
        "rated curve falls back",
        {
            "gear.actuator.max_force": None,
            "gear.actuator.rated": [{"length": 300, "push": 1}, {"length": 290, "push": 1}],
        },
        "gear.actuator.rated",
        "longer than the one before",
    ),
    (
        "crank without a screw",
        {"gear.actuator.screw": None, "gear.actuator.hand": CRANK},
        "gear.actuator.hand",
        "screw",
    ),
    ("half a pump", {"gear.actuator.hand": CRANK | {"piston": 12}}, "gear.actuator.hand", "only then"),
    (
        "thick rod",
        {"gear.actuator.screw": None, "gear.actuator.hydraulic": {"bore": 20, "rod": 25, "pressure": 8}},
        "gear.actuator.hydraulic.rod",
        "below 20 mm",
    ),
    ("freed and damped", {"gear.emergency.damper": [DAMPER]}, "gear.emergency.damper[0].on", "'bypass'"),
    ("unknown unit", {"gear.emergency.damper": [DAMPER | {"on": "oleo"}]}, "damper[0].on", "'gas spring'"),
    ("no disk", {"airframe.propeller": None}, "air.thrust", "[airframe.propeller]"),
    ("area out of order", {"air.area": [[40, 1], [10, 0.5]]}, "air.area", "greater than the one before"),
    ("cold above warm", {"temperatures": {"cold_c": 50}}, "temperatures", "at most 40"),
    ("load factors", {"limits.load_factor.min": 3}, "limits.load_factor", "at most 2"),
    ("weightless links", {"gear.emergency.brace_mass": 0}, "gear.emergency.brace_mass", "greater than 0"),
]


@pytest.mark.parametrize(("name", "changes", "field", "expected"), BAD, ids=[b[0] for b in BAD])
def test_fault(name: str, changes: dict[str, Any], field: str, expected: str) -> None:
    del name
    with pytest.raises(DocumentError) as caught:
        changed(changes)
    assert field in str(caught.value)
    assert expected in str(caught.value)


def rated(low: float, high: float) -> dict[str, Any]:
    curve = [{"length": low, "push": 2600}, {"length": high, "push": 2400, "pull": 1800}]
    return {"gear.actuator.max_force": None, "gear.actuator.rated": curve}


@pytest.mark.parametrize(("low", "high"), [(310, 440), (295, 430)])
def test_a_rated_curve_must_cover_the_stroke_and_the_message_says_how(low: float, high: float) -> None:
    study = changed(rated(low, high))
    with pytest.raises(DocumentError) as caught:
        drive(study, *gear_and_stroke(study))
    assert "gear.actuator.rated" in str(caught.value)
    assert "300.3 to 436.4 mm" in str(caught.value)
    assert "at most 300.3 mm and a last of at least 436.4 mm" in str(caught.value)


def test_the_curve_that_the_message_asks_for_works() -> None:
    study = changed(rated(300.3, 436.4))
    found = drive(study, *gear_and_stroke(study))
    assert found.rated is not None
    assert found.rated[0, 0] == pytest.approx(2600.0)
    assert found.rated[:, -1] == pytest.approx([2400.0, 1800.0], abs=0.5)


def test_inch_study_converts_the_new_fields() -> None:
    gear = changed({}, OSTREL).gear
    assert gear.actuator.hydraulic is not None
    assert gear.actuator.hydraulic.bore == pytest.approx(31.75)
    assert gear.actuator.hydraulic.pressure == pytest.approx(1250 * 0.0068947572931683625)
    assert gear.emergency is not None
    damper = gear.emergency.damper[0]
    assert damper.force == pytest.approx(220 * 4.4482216152605)
    assert damper.coefficient == pytest.approx(damper.force / 150.0**2)
    assert gear.lock_spring[0].rate == pytest.approx(34 * 4.4482216152605 / 25.4)
