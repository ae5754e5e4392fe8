"""Closed forms against Newton on the loop equations of all joints: two roads to every pose and coefficient."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.mechanism import Mechanism, Motion, Plan, newton, plan, solve
from linkage.mechanism.groups import State
from tests.mechanism.linkages import demo_gear, grown

SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=40, deadline=None, derandomize=True)
Q = np.linspace(-0.25, 0.25, 9)


def perturbed(motion: Motion, mechanism: Mechanism, by: float, seed: int) -> State:
    """The poses of the motion, all but the driven body's moved and turned at random."""
    rng = np.random.default_rng(seed)
    shape, driven = motion.margin.shape, mechanism.joint(mechanism.driver).b
    state = State(anchors=dict(motion.state.anchors))
    for body in mechanism.bodies:
        at = np.broadcast_to(motion.state.pose[body][0], shape)
        turn = np.broadcast_to(motion.state.pose[body][1], shape)
        if body != driven:
            at = at + by * 50 * (rng.normal(size=shape) + 1j * rng.normal(size=shape))
            turn = turn * np.exp(1j * by * rng.normal(size=shape))
        state.pose[body] = (at, turn)
    return state


@RANDOM
@given(SEEDS, st.booleans())
def test_newton_from_a_perturbed_guess_comes_back_to_the_closed_form(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=3, by_slide=by_slide)
    motion = solve(plan(mechanism), Q * (40 if by_slide else 1), order=0)
    well = motion.margin[0] > 5  # close to opening, the other assembly is as near as this one
    assume(np.any(well))
    state = perturbed(motion, mechanism, 1e-3, seed)
    joints = [j for j in mechanism.joints if j.name != mechanism.driver]
    bodies = [b for b in mechanism.bodies if b != mechanism.joint(mechanism.driver).b]
    left = newton.close(state, joints, bodies, motion.margin.shape)
    assert np.all(left[0, well] < newton.ACCEPTED)
    for body in bodies:
        for found, exact in zip(state.pose[body], motion.state.pose[body], strict=True):
            exact = np.broadcast_to(exact, motion.margin.shape)
            assert found[0, well] == pytest.approx(exact[0, well], abs=1e-9)


def test_newton_says_where_it_found_nothing() -> None:
    mechanism = demo_gear()
    motion = solve(plan(mechanism), np.array([-0.5, -1.0]), order=0)
    state = perturbed(motion, mechanism, 0.0, 0)
    at, turn = state.pose["upper"]
    state.pose["upper"] = (at, turn * np.array([1.0, np.exp(2.5j)]))  # the second gear is torn apart
    joints = [j for j in mechanism.joints if j.name != mechanism.driver]
    left = newton.close(state, joints, mechanism.bodies[1:], motion.margin.shape)
    assert left[0, 0] < newton.CLOSED * 10
    assert np.isnan(left[0, 1])


def left_to_newton(mechanism: Mechanism) -> Plan:
    driven = mechanism.joint(mechanism.driver).b
    return Plan(mechanism, plan(mechanism).groups[:1], tuple(b for b in mechanism.bodies if b != driven))


@settings(RANDOM, max_examples=15)
@given(SEEDS, st.booleans())
def test_a_plan_with_its_groups_emptied_moves_alike(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=2, by_slide=by_slide)
    q = 0.6 * Q * (40 if by_slide else 1)
    exact, marched = solve(plan(mechanism), q), solve(left_to_newton(mechanism), q)
    both = (exact.margin[0] > 1) & (marched.margin[0] > 0)
    assert both[len(Q) // 2]
    for body in mechanism.bodies:
        for z in (0j, 60 - 80j):
            size = 1 + np.abs(exact.acceleration(body, z)[0, both])
            assert marched.point(body, z)[0, both] == pytest.approx(exact.point(body, z)[0, both], abs=1e-9)
            slip = np.abs(marched.velocity(body, z) - exact.velocity(body, z))[0, both]
            assert np.all(slip < 1e-9 * size)
            surge = np.abs(marched.acceleration(body, z) - exact.acceleration(body, z))[0, both]
            assert np.all(surge < 1e-8 * size)
        assert marched.turn(body)[0, both] == pytest.approx(exact.turn(body)[0, both], abs=1e-10)
        assert marched.spin(body)[0, both] == pytest.approx(exact.spin(body)[0, both], rel=1e-7, abs=1e-8)


def test_the_closed_forms_leave_nothing_open_in_the_loop_equations() -> None:
    mechanism = demo_gear()
    motion = solve(plan(mechanism), np.linspace(-1.7, 0.3, 500), order=0)
    rest = newton.residual(motion.state, mechanism.joints, motion.margin.shape)
    assert np.max(np.abs(rest)) < 2e-12
