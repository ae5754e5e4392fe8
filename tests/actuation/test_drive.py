"""Actuator force by every cause: two roads, energy over the whole stroke, friction and inertia."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from linkage.actuation import actuation
from linkage.actuation.drive import FRICTION, INERTIA
from linkage.actuation.friction import settle
from linkage.actuation.sources import ACTUATOR, AIR, SPEEDING, TURNING, WEIGHT
from linkage.mechanism.model import Floats
from linkage.units import STANDARD_GRAVITY
from tests.actuation.cases import AT_REST, LONELY, NO_FRICTION, STILL, UNSPRUNG, demo, solved
from tests.studies import OSTREL, changed, solution


def integral(values: Floats, over: Floats) -> float:
    return float(CubicSpline(over, values).integrate(over[0], over[-1]))


def test_gravity_alone_is_the_plain_answer() -> None:
    gear, stroke, found = solved(NO_FRICTION, AT_REST, STILL, UNSPRUNG)
    plain = actuation(changed({**LONELY, **UNSPRUNG}), gear, stroke)
    for i, condition in enumerate(found.conditions):
        assert np.allclose(found.push[i], condition.load_factor * plain.push[0], rtol=0, atol=1e-9)
    assert found.disagreement < 1e-12


def test_both_roads_agree_with_everything_on() -> None:
    """Equilibrium of all pins and virtual work, friction and inertia included."""
    _, _, found = demo()
    assert found.disagreement < 1e-11
    total = sum(found.moment.values())
    assert np.max(np.abs(total)) < 1e-9 * np.max(np.abs(found.moment[ACTUATOR]))


def test_the_actuator_s_work_is_the_change_of_potential_energy() -> None:
    """Without losses, at rest at both ends: weight, one gas spring, and an air force that does work by its own."""
    gear, stroke, found = solved(NO_FRICTION, {"stroke.poses": 1441})
    law_length = stroke.spring_lengths["gas spring"]
    case = next(
        i for i, c in enumerate(found.conditions) if c.load_factor == 2.0 and c.speed == 0.0 and c.health == 1.0
    )
    work = integral(found.push[case, 0] * stroke.actuator_rate, stroke.driven)
    height = sum(m.kg * np.ptp(stroke.motion.point(m.at.body, m.at.at)[0].imag[[0, -1]]) for m in gear.masses)
    factor = (273.15 + 40.0) / (273.15 + 20.0)
    # the same spring as a pressure vessel: force x volume constant, work = F V ln(V1/V2)
    volume = 450.0 * np.ptp(law_length) / (1 - 450.0 / 560.0)  # F V at the long end, V in force-free units of length
    spring = factor * volume * np.log(560.0 / 450.0)
    inertia = integral(found.moment[INERTIA][case, 0], stroke.driven)
    assert work + inertia == pytest.approx(2.0 * STANDARD_GRAVITY * height + spring, rel=2e-7)


def test_work_by_every_cause_closes_the_energy_balance() -> None:
    """There and back: weight and springs give back what they took, friction takes every time, the air what it gave."""
    _, stroke, found = solved({"stroke.poses": 721})
    for case in range(len(found.conditions)):
        for cause in (WEIGHT, "gas spring", AIR):
            assert np.array_equal(found.moment[cause][case, 0], found.moment[cause][case, 1])
        up, down = (integral(found.moment[FRICTION][case, w], stroke.driven) for w in (0, 1))
        assert up < 0 < down  # against the way up, and against the way down
        pushed = integral((found.moment[ACTUATOR][case, 0] - found.moment[ACTUATOR][case, 1]), stroke.driven)
        assert pushed == pytest.approx(down - up, rel=1e-9)


def test_friction_couples_are_the_friction_circle() -> None:
    """Each couple is friction radius x pin force against the relative turn, and no friction means no couple."""
    gear, _, found = demo()
    unit = found.units
    names = [unit.joints[i] for i in unit.couples]
    assert set(names) == {j.name for j in gear.mechanism.joints if j.name not in gear.springs and j.name != "actuator"}
    lost = 0.0
    for i, name in zip(unit.couples, names, strict=True):
        lost = lost + unit.friction[i] * np.abs(found.joint[name]) * np.abs(unit.spin[i])
    seals = 15.0 * np.abs(unit.of("gas spring"))
    assert np.allclose(found.moment[FRICTION][:, 0], -(lost[:, 0] + seals), rtol=1e-9, atol=1e-6)
    assert np.allclose(found.moment[FRICTION][:, 1], lost[:, 1] + seals, rtol=1e-9, atol=1e-6)
    trunnion = unit.friction[unit.joints.index("trunnion")]
    assert trunnion == pytest.approx(18.0 * np.sin(np.arctan(0.15)), rel=1e-12)


def test_friction_that_is_too_large_holds_the_gear() -> None:
    """With pins of 90 mm radius that bind, no force moves the gear over part of the stroke, and the result says so."""
    _, _, found = solved(
        {"gear.friction": {"pin_radius": 90, "coefficient": 1.5, "source": "test"}, "gear.actuator.cycle_time": None}
    )
    assert found.jammed.any()
    assert np.isnan(found.push[found.jammed]).all()


def test_settling_needs_no_luck() -> None:
    """The same fixed point from the plain iteration on one pose, written out."""
    gear, stroke, found = demo()
    unit, pose = found.units, 120
    del gear
    amount = np.zeros((1, 2, len(unit.sources) - len(unit.couples), len(stroke.driven)))
    amount[:, :, unit.sources.index(WEIGHT)] = 1.0
    push, couple, force = settle(unit, amount, np.zeros(len(stroke.driven), dtype=bool))
    act = unit.sources.index(ACTUATOR)
    first = len(unit.sources) - len(unit.couples)
    c = np.zeros(len(unit.couples))
    for _ in range(200):
        f = -(unit.of(WEIGHT)[pose] + c @ unit.spin[list(unit.couples), pose]) / unit.moment[act, pose]
        pins = unit.force[:, 0, pose] + unit.force[:, act, pose] * f + unit.force[:, first:, pose] @ c
        c = (
            -unit.friction[list(unit.couples)]
            * np.abs(pins[list(unit.couples)])
            * np.sign(unit.spin[list(unit.couples), pose])
        )
    assert push[0, 0, pose] == pytest.approx(f, rel=1e-11)
    assert couple[0, 0, :, pose] == pytest.approx(c, rel=1e-9)
    assert force[0, 0, :, pose] == pytest.approx(pins, rel=1e-9, abs=1e-9)


def test_reduced_inertia_is_the_kinetic_energy_and_its_rate_is_exact() -> None:
    gear, stroke, found = solved({"stroke.poses": 721}, {"gear.mass[0].gyration": 120})
    kinetic = sum(
        m.kg
        * (
            np.abs(stroke.motion.velocity(m.at.body, m.at.at)[0]) ** 2
            + (m.gyration * stroke.motion.spin(m.at.body)[0]) ** 2
        )
        for m in gear.masses
    )
    inertia = found.units.inertia
    assert inertia == pytest.approx(1e-3 * kinetic, rel=1e-12)
    slope = CubicSpline(stroke.driven, inertia)(stroke.driven, 1)
    inner = slice(5, -5)
    assert found.units.inertia_rate[inner] == pytest.approx(slope[inner], rel=1e-5, abs=1e-5 * np.max(np.abs(slope)))
    # second road: what the pins' equilibrium asks for at the driven link
    sense = gear.drive_sense
    for source in (SPEEDING, TURNING):
        i = found.units.sources.index(source)
        assert -sense * found.units.effort[i] == pytest.approx(found.units.moment[i], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("path_changes", [{}, {"gear.actuator.ramp": 0.5}])
def test_time_law_keeps_its_times_and_its_derivatives(path_changes: dict[str, float]) -> None:
    _, stroke, found = solved(path_changes, {"stroke.poses": 1441})
    run = found.run
    assert run is not None
    assert run.time[[0, -1]] == pytest.approx([0.0, 6.0], abs=1e-9)
    # a spline through the table cannot follow a step of the acceleration, so its neighbourhood is left out
    step = np.abs(np.diff(run.accel, append=run.accel[-1])) > 0.05
    smooth = np.convolve(step, np.ones(41), "same") < 0.5
    smooth[:60] = smooth[-60:] = False
    assert smooth.sum() > 1000
    assert CubicSpline(run.time, stroke.driven)(run.time, 1)[smooth] == pytest.approx(run.rate[smooth], rel=1e-6)
    by_rate = CubicSpline(run.time, run.rate)(run.time, 1)
    assert by_rate[smooth] == pytest.approx(run.accel[smooth], rel=1e-4, abs=1e-5)
    top = stroke.actuator_stroke / (6.0 * (1 - path_changes.get("gear.actuator.ramp", 0.1)))
    assert np.max(run.actuator_speed) == pytest.approx(top, rel=1e-2)


def test_an_actuator_on_the_leg_is_quoted_only_where_it_works() -> None:
    r = solution(OSTREL).results
    driven_back = r.stroke.actuator_length <= r.stroke.actuator_length[0]
    assert driven_back.sum() >= 2
    assert np.isnan(r.drive.push[:, :, driven_back]).all()
    assert np.isfinite(r.drive.push[:, :, ~driven_back]).all()


def test_warm_new_springs_at_high_load_factor_govern_the_demo() -> None:
    _, stroke, found = demo()
    c, way, pose = found.worst()
    worst = found.conditions[c]
    assert (worst.load_factor, worst.speed, worst.health, way) == (2.0, 0.0, 1.0, 0)
    assert pose == len(stroke.driven) - 1
    assert found.room is not None
    assert found.room[c, way, pose] == pytest.approx(2600 - found.push[c, way, pose])
    assert 0 < found.room[c, way, pose] < 600


def test_mechanical_advantage_is_the_force_ratio() -> None:
    """A load at the axle along its way, against the actuator, by the equilibrium of all pins."""
    from linkage.mechanism.statics import Load, balance

    gear, stroke, found = demo()
    axle = gear.pins["axle"]
    way = stroke.motion.velocity(axle.body, axle.at)
    held = balance(gear.mechanism, stroke.motion, [Load(axle.body, axle.at, -100.0 * way / np.abs(way))], "actuator")
    far = np.isfinite(found.advantage) & (stroke.driven > 0.1)
    assert np.abs(held.effort[0])[far] * found.advantage[far] == pytest.approx(np.full(far.sum(), 100.0), rel=1e-9)
