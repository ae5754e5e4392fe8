"""Pin forces and efforts against the free body of every link, and against results found by hand."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.mechanism import (
    GROUND,
    Balance,
    Load,
    Mechanism,
    Motion,
    Pin,
    Slide,
    balance,
    dead_points,
    effort_by_work,
    plan,
    reactions,
    responses,
    solve,
    statics,
    travel_rate,
)
from linkage.plane.vectors import cross
from tests.mechanism.linkages import AXLE, HORN, KNEE, demo_gear, four_bar, grown, marks, slider_crank, triad

SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=50, deadline=None, derandomize=True)
Q = np.linspace(-0.1, 0.1, 5)
WEIGHT = Load("leg", AXLE, -1000j)


def random_loads(mechanism: Mechanism, rng: np.random.Generator) -> list[Load]:
    """A force at some point and a couple on every body."""
    return [
        Load(body, complex(*rng.uniform(-100, 100, 2)), complex(*rng.uniform(-50, 50, 2)), rng.uniform(-900, 900))
        for body in mechanism.bodies
    ]


def wrench(motion: Motion, body: str, at: complex, force: object, couple: object = 0.0) -> np.ndarray:
    """Force and moment about the origin, as rows x, y, moment."""
    place = motion.point(body, at)
    f = np.broadcast_to(np.asarray(force, dtype=complex), place.shape)
    return np.stack([f.real, f.imag, cross(place, f) + couple])


def unbalance(mechanism: Mechanism, motion: Motion, loads: list[Load], found: Balance) -> dict[str, np.ndarray]:
    """What is left on every moving body when its joints, the effort and its loads are put together."""
    left = {b: np.zeros((3, *motion.margin.shape)) for b in (GROUND, *mechanism.bodies)}
    for load in loads:
        left[load.body] += wrench(motion, load.body, load.at, load.force, load.couple)
    for j in mechanism.joints:
        force, couple = found.joint[j.name], found.couple.get(j.name, np.zeros(motion.margin.shape))
        if j.name == found.effort_at:
            force = force + found.thrust
            couple = couple + (found.effort if isinstance(j, Pin) else 0.0)
        on_b = wrench(motion, j.b, j.at, force, couple)
        left[j.b] += on_b
        left[j.a] -= on_b
    return {body: rest for body, rest in left.items() if body != GROUND}


@RANDOM
@given(SEEDS, st.booleans())
def test_every_body_of_a_random_linkage_is_in_balance(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=3, by_slide=by_slide)
    rng = np.random.default_rng(seed)
    motion, loads = solve(plan(mechanism), Q), random_loads(mechanism, rng)
    closes = motion.margin[0] > 0
    for joint in rng.choice([j.name for j in mechanism.joints], 3, replace=False):
        found = balance(mechanism, motion, loads, joint)
        size = max(float(np.max(np.abs(f[0, closes]))) for f in found.joint.values()) + 1.0
        if not size < 1e7:
            continue  # a dead point of that joint lies close by: nothing is claimed there
        for rest in unbalance(mechanism, motion, loads, found).values():
            assert np.max(np.abs(rest[:2, 0, closes])) < 1e-11 * size
            assert np.max(np.abs(rest[2, 0, closes])) < 1e-9 * size


@RANDOM
@given(SEEDS, st.booleans())
def test_the_reactions_and_the_loads_add_up_to_nothing(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=3, by_slide=by_slide)
    rng = np.random.default_rng(seed)
    motion, loads = solve(plan(mechanism), 0.0), random_loads(mechanism, rng)
    for effort_at in ("drive", *rng.choice([j.name for j in mechanism.joints], 2, replace=False)):
        found = balance(mechanism, motion, loads, str(effort_at))
        total = sum(reactions(mechanism, found).values())
        size = max(float(np.abs(f[0, 0])) for f in found.joint.values())
        assert total[0, 0] == pytest.approx(sum(load.force for load in loads), abs=1e-11 * max(size, 1e3))


def test_a_slide_carries_no_force_along_itself() -> None:
    motion = solve(plan(demo_gear()), np.linspace(-1.6, -0.1, 9))
    found = balance(demo_gear(), motion, [WEIGHT], "actuator")
    axis = motion.turn("barrel") * (HORN - demo_gear().joint("actuator root").at)
    along = (found.joint["actuator"] * axis.conjugate()).real / np.abs(axis)
    assert along == pytest.approx(np.zeros((1, 9)), abs=1e-9)
    # no load on barrel or rod: the pair carries the thrust alone, through both pins
    assert found.joint["actuator"] == pytest.approx(np.zeros((1, 9)), abs=1e-8)
    assert found.couple["actuator"] == pytest.approx(np.zeros((1, 9)), abs=1e-6)
    assert found.joint["actuator pin"] == pytest.approx(found.thrust, abs=1e-8)
    assert found.joint["actuator root"] == pytest.approx(found.thrust, abs=1e-8)
    assert np.abs(found.thrust) == pytest.approx(np.abs(found.effort), rel=1e-12)


def test_a_positive_effort_pushes_the_travel_up() -> None:
    """A weight right of a pivot takes an anticlockwise torque; a weight on a rising slide takes a push up."""
    crank = Mechanism((Pin("pivot", GROUND, "crank", 0j),), "pivot")
    found = balance(crank, solve(plan(crank), 0.0), [Load("crank", 3 + 0j, -10j, couple=4.0)], "pivot")
    assert found.effort[0, 0] == pytest.approx(26.0)
    assert found.joint["pivot"][0, 0] == pytest.approx(10j)
    lift = Mechanism((Slide("guide", GROUND, "car", 1j, 2j),), "guide")
    raised = balance(lift, solve(plan(lift), 5.0), [Load("car", 3 + 0j, 7 - 10j)], "guide")
    assert raised.effort[0, 0] == pytest.approx(10.0)
    assert raised.joint["guide"][0, 0] == pytest.approx(-7.0)
    # the guide holds at its point drawn at 1j: the weight turns by -30, the side force by -(7 * (0 - 1))
    assert raised.couple["guide"][0, 0] == pytest.approx(30.0 - 7.0)
    assert reactions(lift, raised)["guide"][0, 0] == pytest.approx(7 - 10j)


def test_the_crank_torque_of_a_slider_crank_by_hand() -> None:
    mechanism, q = slider_crank(40, 120, 0, 1.0), np.linspace(-3, 3, 41)
    motion = solve(plan(mechanism), q)
    found = balance(mechanism, motion, [Load("slider", 0j, -500.0)], "crank pivot")
    turned = q + 1.0
    lean = np.arcsin(40 * np.sin(turned) / 120)
    rod = 500 / np.cos(lean)
    assert found.effort[0] == pytest.approx(-rod * 40 * np.sin(turned + lean), abs=1e-9)
    assert np.abs(found.joint["slider pin"][0]) == pytest.approx(rod, rel=1e-12)
    assert np.abs(found.joint["guide"][0]) == pytest.approx(np.abs(500 * np.tan(lean)), abs=1e-9)


def test_a_brace_without_loads_of_its_own_carries_along_its_line() -> None:
    motion = solve(plan(demo_gear()), np.linspace(-1.6, -0.1, 9))
    found = balance(demo_gear(), motion, [WEIGHT], "upper pin")
    line = motion.point("leg", demo_gear().joint("lug").at) - motion.point("upper", KNEE)
    for name in ("knee", "lug"):
        force = found.joint[name]
        assert cross(line, force) / np.abs(line) == pytest.approx(np.zeros((1, 9)), abs=1e-8)


def test_forces_grow_without_bound_towards_a_dead_point_and_change_sign_there() -> None:
    mechanism, loads = demo_gear(), [WEIGHT]
    found = plan(mechanism)

    def rate(q: np.ndarray) -> np.ndarray:
        return travel_rate(solve(found, q, order=1), mechanism, "actuator")[0]

    (place,) = dead_points(rate, np.linspace(-0.3, 1.2, 400))
    off = np.array([-1e-3, -1e-4, -1e-5, 1e-5, 1e-4, 1e-3])
    motion = solve(found, place + off)
    effort = balance(mechanism, motion, loads, "actuator").effort[0]
    assert np.array_equal(np.sign(effort), np.sign(effort[0]) * np.array([1, 1, 1, -1, -1, -1]))
    assert effort[1:3] / effort[:2] == pytest.approx([10.0, 10.0], rel=0.03)
    assert (effort * off)[2] == pytest.approx((effort * off)[3], rel=1e-3)
    work = effort * travel_rate(motion, mechanism, "actuator")[0]
    torque = balance(mechanism, motion, loads, "upper pin").effort[0]
    assert work == pytest.approx(torque, rel=1e-9)


def test_poses_that_do_not_close_carry_nothing_and_do_not_disturb_the_others() -> None:
    mechanism, q = four_bar(40, 60, 50, 100, 1.0), np.linspace(-3, 3, 41)
    loads = [Load("rocker", 80 + 20j, 5 - 20j)]
    motion = solve(plan(mechanism), q)
    found = balance(mechanism, motion, loads, "crank pivot")
    opened = motion.margin < 0
    assert 0 < opened.sum() < 41
    assert np.array_equal(np.isnan(found.effort), opened)
    alone = solve(plan(mechanism), q[~opened[0]])
    assert found.effort[~opened] == pytest.approx(balance(mechanism, alone, loads, "crank pivot").effort[0], rel=1e-12)


def test_a_pose_at_a_dead_point_exactly_gives_no_number_and_does_not_disturb_the_others() -> None:
    mechanism = slider_crank(40, 120, 0, 0.0)
    motion = solve(plan(mechanism), np.array([0.0, 0.5]))
    found = balance(mechanism, motion, [Load("crank", 40 + 0j, -10j)], "guide")
    assert np.isnan(found.effort[0, 0])
    assert np.isfinite(found.effort[0, 1])


def test_many_designs_and_loads_are_balanced_as_one_by_one() -> None:
    shifts, weights = np.array([0.0, 5.0, -5.0]), np.array([[1.0], [2.0], [3.0]])

    def moved(shift: complex | np.ndarray) -> Mechanism:
        joints = tuple(dataclasses.replace(j, at=j.at + shift) if j.name == "knee" else j for j in demo_gear().joints)
        return Mechanism(joints, "upper pin")

    q = np.linspace(-1.2, -0.2, 7)
    motion = solve(plan(moved(shifts)), q)
    many = balance(moved(shifts), motion, [Load("leg", AXLE, -9j * weights)], "actuator")
    work = effort_by_work(moved(shifts), motion, [Load("leg", AXLE, -9j * weights)], "actuator")
    assert many.effort.shape == work.shape == (3, 7)
    for row, shift in enumerate(shifts):
        one = moved(shift)
        alone = balance(one, solve(plan(one), q), [Load("leg", AXLE, -9j * weights[row, 0])], "actuator")
        assert many.effort[row] == pytest.approx(alone.effort[0], rel=1e-10)
        assert many.joint["lug"][row] == pytest.approx(alone.joint["lug"][0], rel=1e-10)
    assert work == pytest.approx(many.effort, rel=1e-10)


def test_the_answer_does_not_depend_on_how_many_systems_are_solved_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    motion = solve(plan(demo_gear()), np.linspace(-1.6, -0.1, 50))
    whole = balance(demo_gear(), motion, [WEIGHT], "actuator")
    monkeypatch.setattr(statics, "SYSTEMS", 7)
    parts = balance(demo_gear(), motion, [WEIGHT], "actuator")
    assert np.array_equal(parts.effort, whole.effort)
    assert np.array_equal(parts.joint["lug"], whole.joint["lug"])


@pytest.mark.parametrize("mechanism", [demo_gear(), triad()], ids=["closed form", "loose"])
def test_responses_are_the_balances_of_each_set(mechanism: Mechanism) -> None:
    motion = solve(plan(mechanism), np.linspace(-0.25, -0.05, 6))
    rng = np.random.default_rng(3)
    sets = [random_loads(mechanism, rng) for _ in range(3)]
    found = responses(mechanism, motion, sets, mechanism.driver)
    assert found.effort.shape == (3, 1, 6)
    for row, loads in enumerate(sets):
        alone = balance(mechanism, motion, loads, mechanism.driver)
        assert found.effort[row] == pytest.approx(alone.effort, rel=1e-10, abs=1e-9)
        for name, force in alone.joint.items():
            assert found.joint[name][row] == pytest.approx(force, rel=1e-10, abs=1e-9)


def test_a_load_on_the_ground_does_nothing() -> None:
    motion = solve(plan(demo_gear()), -0.5)
    bare = balance(demo_gear(), motion, [WEIGHT], "actuator")
    more = balance(demo_gear(), motion, [WEIGHT, Load(GROUND, 0j, 1e6 + 0j, 1e6)], "actuator")
    assert more.effort == pytest.approx(bare.effort, rel=0)
    work = effort_by_work(demo_gear(), motion, [WEIGHT, Load(GROUND, 0j, 1e6 + 0j, 1e6)], "actuator")
    assert work == pytest.approx(bare.effort, rel=1e-10)


def test_no_loads_take_no_effort() -> None:
    motion = solve(plan(demo_gear()), np.linspace(-0.9, -0.1, 3))
    assert np.all(balance(demo_gear(), motion, [], "actuator").effort == 0)
    assert effort_by_work(demo_gear(), motion, [], "actuator").shape == (1, 3)
    assert len(marks(demo_gear())) == 23
