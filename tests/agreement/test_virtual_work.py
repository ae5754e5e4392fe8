"""Virtual work against the balance of every body: two roads to the effort at any joint."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.mechanism import Load, Mechanism, balance, effort_by_work, plan, solve, travel_rate
from tests.mechanism.linkages import AXLE, demo_gear, grown, scotch_yoke, triad

SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=50, deadline=None, derandomize=True)


def compare(mechanism: Mechanism, q: np.ndarray, seed: int, part: float) -> int:
    """Compare at every joint that is not near a dead point, and say how many those were."""
    rng = np.random.default_rng(seed)
    motion, compared = solve(plan(mechanism), q, order=1), 0
    closes = motion.margin > 1
    loads = [
        Load(body, complex(*rng.uniform(-100, 100, 2)), complex(*rng.uniform(-50, 50, 2)), rng.uniform(-900, 900))
        for body in mechanism.bodies
    ]
    work_done = sum(np.abs(motion.velocity(load.body, load.at)) * abs(load.force) for load in loads)
    for j in mechanism.joints:
        rate = travel_rate(motion, mechanism, j.name)
        steady = closes & (np.abs(rate) > 1e-3)
        found = balance(mechanism, motion, loads, j.name).effort
        work = effort_by_work(mechanism, motion, loads, j.name) if np.all(rate != 0) else found * np.nan
        if np.any(steady) and np.all(rate != 0):
            assert np.all(np.abs(found - work)[steady] < part * (np.abs(work_done / rate) + np.abs(work))[steady])
            compared += 1
    return compared


@RANDOM
@given(SEEDS, st.booleans())
def test_random_loads_on_random_linkages(seed: int, by_slide: bool) -> None:
    unit = 40.0 if by_slide else 1.0
    assert compare(grown(seed, groups=3, by_slide=by_slide), unit * np.linspace(-0.1, 0.1, 5), seed, 1e-9) >= 4


@pytest.mark.parametrize("seed", range(5))
def test_random_loads_on_bodies_without_a_closed_form(seed: int) -> None:
    assert compare(triad(), np.linspace(-0.25, 0.2, 7), seed, 1e-9) == 7
    assert compare(scotch_yoke(40, 0.5), np.linspace(-0.25, 0.2, 7), seed, 1e-9) == 4


def test_the_actuator_of_the_demo_gear_over_its_whole_stroke() -> None:
    mechanism, loads = demo_gear(), [Load("leg", AXLE, 120 - 154j), Load("lower", 900 + 500j, -9j)]
    motion = solve(plan(mechanism), np.linspace(-1.7, -0.01, 400), order=1)
    by_work = effort_by_work(mechanism, motion, loads, "actuator")
    assert balance(mechanism, motion, loads, "actuator").effort == pytest.approx(by_work, rel=1e-9, abs=1e-9)


def test_the_work_of_the_effort_over_a_stroke_is_the_change_of_height() -> None:
    """Simpson's rule over the exact effort against a weight, driven at the actuator and at the upper link."""
    mechanism, q = demo_gear(), np.linspace(-0.05, -1.6, 2001)
    motion = solve(plan(mechanism), q, order=1)
    raised = motion.point("leg", AXLE)[0].imag
    weights = np.ones(2001)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    for joint in ("actuator", "upper pin"):
        effort = effort_by_work(mechanism, motion, [Load("leg", AXLE, -100j)], joint)[0]
        power = effort * travel_rate(motion, mechanism, joint)[0]
        work = float(np.sum(weights * power) * (q[1] - q[0]) / 3)
        assert work == pytest.approx(100 * (raised[-1] - raised[0]), rel=1e-9)
