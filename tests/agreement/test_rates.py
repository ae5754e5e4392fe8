"""Exact coefficients against central differences of the positions, extrapolated after Richardson."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.mechanism import Mechanism, Motion, Plan, Slide, plan, solve, travel_rate
from linkage.plane.vectors import dot
from tests.mechanism.linkages import demo_gear, grown, marks, scotch_yoke, triad

SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=40, deadline=None, derandomize=True)
HALVINGS = 2.0 ** -np.arange(4)


def around(at: float, step: float) -> np.ndarray:
    """Places before and behind ``at`` for `slope`, by four step widths each half the one before."""
    return np.concatenate([at + step * HALVINGS, at - step * HALVINGS])


def slope(values: np.ndarray, step: float) -> complex:
    """Derivative from the values at the places `around`, with the errors of even orders taken out one by one."""
    table = list((values[:4] - values[4:]) / (2 * step * HALVINGS))
    for order in (4, 16, 64):
        table = [(order * fine - coarse) / (order - 1) for coarse, fine in pairwise(table)]
    return table[0]


def step_for(motion: Motion, mechanism: Mechanism, unit: float) -> float:
    """A step in which no body turns by more than some hundredths and no curve bends much."""
    fastest = max(float(np.abs(motion.spin(b)[0, 0])) for b in mechanism.bodies)
    change = max(float(np.abs(motion.spin_rate(b)[0, 0])) ** 0.5 for b in mechanism.bodies)
    return 0.02 * unit / max(1.0, unit * fastest, unit * change)


def check(found: Plan, at: float, unit: float = 1.0, part: float = 2e-8) -> None:
    """Compare at one place; ``part`` of the fastest point is what the differences may be off."""
    mechanism, motion = found.mechanism, solve(found, at)
    step, points = step_for(motion, mechanism, unit), marks(mechanism)
    there = solve(found, around(at, step), 1)
    speed = max(float(np.abs(motion.velocity(*p)[0, 0])) for p in points)
    surge = max(float(np.abs(motion.acceleration(*p)[0, 0])) for p in points) + speed / unit
    for p in points:
        assert motion.velocity(*p)[0, 0] == pytest.approx(slope(there.point(*p)[0], step), abs=part * speed)
        assert motion.acceleration(*p)[0, 0] == pytest.approx(slope(there.velocity(*p)[0], step), abs=part * surge)
    for b in mechanism.bodies:
        turned = np.angle(there.turn(b) / motion.turn(b))[0]
        assert motion.spin(b)[0, 0] == pytest.approx(slope(turned, step), abs=part * speed / 10)
        assert motion.spin_rate(b)[0, 0] == pytest.approx(slope(there.spin(b)[0], step), abs=part * surge / 10)


@RANDOM
@given(SEEDS, st.booleans(), st.sampled_from([-0.1, 0.0, 0.15]))
def test_coefficients_of_random_linkages(seed: int, by_slide: bool, at: float) -> None:
    found, unit = plan(grown(seed, groups=3, by_slide=by_slide)), 40.0 if by_slide else 1.0
    assume(solve(found, unit * at).margin[0, 0] > 5)  # where a group is about to open, no step is small enough
    check(found, unit * at, unit)


@pytest.mark.parametrize("at", np.linspace(-1.6, 0.3, 8))
def test_coefficients_of_the_demo_gear(at: float) -> None:
    check(plan(demo_gear()), float(at))


@pytest.mark.parametrize("mechanism", [triad(), scotch_yoke(40, 0.5)], ids=["plate on three links", "yoke"])
@pytest.mark.parametrize("at", [-0.15, 0.0, 0.1])
def test_coefficients_of_bodies_without_a_closed_form(mechanism: Mechanism, at: float) -> None:
    check(plan(mechanism), at)


def travel(motion: Motion, mechanism: Mechanism, name: str) -> np.ndarray:
    """How far a joint has moved, by its definition."""
    j = mechanism.joint(name)
    if isinstance(j, Slide):
        axis = motion.turn(j.a) * j.along / abs(j.along)
        return np.asarray(dot(axis, motion.point(j.b, j.at) - motion.point(j.a, j.at)))[0]
    return np.angle(motion.turn(j.b) / motion.turn(j.a))[0]


@settings(RANDOM, max_examples=20)
@given(SEEDS)
def test_the_travel_rate_of_a_joint_is_the_slope_of_its_travel(seed: int) -> None:
    mechanism = grown(seed, groups=3)
    found = plan(mechanism)
    motion = solve(found, 0.0)
    assume(motion.margin[0, 0] > 5)
    step = step_for(motion, mechanism, 1.0)
    there = solve(found, around(0.0, step), 0)
    speed = max(float(np.abs(motion.velocity(*p)[0, 0])) for p in marks(mechanism))
    for j in mechanism.joints:
        exact = travel_rate(motion, mechanism, j.name)
        assert exact.shape == (1, 1)
        assert exact[0, 0] == pytest.approx(slope(travel(there, mechanism, j.name), step), abs=2e-8 * speed)
