"""Laws of gas springs, coil springs and air."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.actuation.air import area_part, dynamic_pressure
from linkage.actuation.springs import spring_law, state_factor, tie_pull, tie_stored
from linkage.document.drive import LockSpring
from linkage.document.gear import Spring
from tests.actuation.cases import LONELY
from tests.studies import changed


def gas(law: str = "gas", temperature: float = 15.0) -> Spring:
    return Spring.model_validate(
        {
            "name": "s",
            "root": [0, 0],
            "on": "upper link",
            "pin": "knee",
            "force_extended": 450,
            "force_compressed": 560,
            "law": law,
            "temperature_c": temperature,
        }
    )


@pytest.mark.parametrize(("celsius", "part"), [(-20.0, 0.879), (-40.0, 0.809)])
def test_cold_takes_the_published_part_of_the_force(celsius: float, part: float) -> None:
    """Ratios of absolute temperature to 15 C, three digits, as recomputed in the project's collection of practice."""
    assert state_factor(gas(), celsius, 1.0) == pytest.approx(part, abs=5e-4)


def test_age_multiplies_and_a_straight_line_knows_no_temperature() -> None:
    assert state_factor(gas(), 15.0, 0.8) == pytest.approx(0.8)
    assert state_factor(gas("linear"), -40.0, 0.8) == pytest.approx(0.8)


@pytest.mark.parametrize("law", ["gas", "linear"])
def test_law_runs_through_both_forces_and_its_energy_is_their_integral(law: str) -> None:
    found = spring_law(gas(law), 367.0, 280.0)
    assert found.force(367.0) == pytest.approx(450.0)
    assert found.force(280.0) == pytest.approx(560.0)
    length = np.linspace(280.0, 367.0, 4001)
    work = np.trapezoid(found.force(length), length)
    assert found.stored(280.0) - found.stored(367.0) == pytest.approx(work, rel=1e-8)


def test_boyle_pressure_times_volume_stays() -> None:
    """Force is pressure x rod area and the volume shrinks by area x stroke, so 1 / force is linear in the length."""
    law = spring_law(gas(), 367.0, 280.0)
    length = np.array([280.0, 300.0, 340.0, 367.0])
    volume = (1.0 / law.force(length)) * 1e4
    assert np.allclose(np.diff(volume) / np.diff(length), (volume[-1] - volume[0]) / 87.0, rtol=1e-12)


def test_equal_forces_make_a_constant_spring() -> None:
    entry = gas().model_copy(update={"force_compressed": 450.0})
    law = spring_law(entry, 367.0, 280.0)
    assert law.force(300.0) == pytest.approx(450.0)
    assert law.stored(280.0) - law.stored(367.0) == pytest.approx(450.0 * 87.0)


def test_a_coil_spring_pulls_only_when_stretched() -> None:
    entry = LockSpring.model_validate(
        {"name": "c", "from": [0, 0], "to": "knee", "end_on": "upper link", "free_length": 50, "rate": 2, "preload": 10}
    )
    length = np.array([40.0, 50.0, 60.0])
    assert tie_pull(entry, length).tolist() == [0.0, 0.0, 30.0]
    assert tie_stored(entry, 60.0) == pytest.approx(10 * 10 + 0.5 * 2 * 100)


@settings(derandomize=True, deadline=None, max_examples=30)
@given(st.floats(1.0, 80.0), st.floats(0.0, 3000.0), st.floats(1.0, 2.5))
def test_slipstream_is_the_actuator_disk_s_far_wake(speed: float, thrust: float, diameter: float) -> None:
    """Second road: thrust = mass flow x speed gained, half of it at the disk: T = rho A (V + v) 2 v, wake V + 2 v."""
    rho, disk = 1.225, math.pi / 4 * diameter**2
    v = 0.5 * (-speed + math.sqrt(speed**2 + 2.0 * thrust / (rho * disk)))
    assert rho * disk * (speed + v) * 2.0 * v == pytest.approx(thrust, rel=1e-9, abs=1e-6)
    assert dynamic_pressure(rho, speed, thrust, 1000 * diameter) == pytest.approx(0.5 * rho * (speed + 2 * v) ** 2)


def test_drag_area_laws() -> None:
    from linkage.gear import build

    def parts(area: object) -> np.ndarray:
        study = changed({**LONELY, "air.area": area})
        return np.asarray(area_part(study, build(study), np.radians([0.0, 45.0, 92.0])))

    assert parts("constant").tolist() == [1.0, 1.0, 1.0]
    tilt = math.radians(6.188332458536593)  # top aft: the leg's foot is forward, and swings aft through the vertical
    square = [abs(math.cos(math.radians(s) - tilt)) / math.cos(tilt) for s in (0, 45, 92)]
    assert parts("projected") == pytest.approx(square, abs=1e-12)
    assert parts([[0, 1.0], [90, 0.4]]) == pytest.approx([1.0, 0.7, 0.4])
