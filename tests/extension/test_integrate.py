"""The small integrator: order conditions, a library's integrator, crossings, and what it does at the edges."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import ellipk

from linkage.actuation.conditions import Condition
from linkage.extension import simulate as simulation
from linkage.extension.faller import acting
from linkage.extension.forces import Fall
from linkage.extension.integrate import FIFTH, FOURTH, NODES, STAGES, Crossing, integrate
from tests.extension.test_fall import demo

A = np.zeros((7, 7))
for _i, _row in enumerate(STAGES):
    A[_i, : len(_row)] = _row
A[6, :6] = FIFTH
C = np.array([*NODES, 1.0])


@pytest.mark.parametrize(("weights", "order"), [(np.append(FIFTH, 0.0), 5), (FOURTH, 4)])
def test_coefficients_meet_their_order_conditions(weights: np.ndarray, order: int) -> None:
    """Quadrature conditions to the order, and those of the trees that are not quadratures up to order 4 (Butcher)."""
    assert pytest.approx(C, abs=1e-15) == A.sum(axis=1)
    for power in range(order):
        assert weights @ C**power == pytest.approx(1 / (power + 1), abs=1e-14)
    assert weights @ A @ C == pytest.approx(1 / 6, abs=1e-14)
    assert weights @ (C * (A @ C)) == pytest.approx(1 / 8, abs=1e-14)
    assert weights @ A @ C**2 == pytest.approx(1 / 12, abs=1e-14)
    assert weights @ A @ A @ C == pytest.approx(1 / 24, abs=1e-14)


def test_fifth_order_in_practice() -> None:
    """Halving the step divides the error by 2^5 or more."""
    from linkage.extension.integrate import _step

    def slope(t: float, y: np.ndarray) -> list[float]:
        return [float(y[1]), -math.sin(float(y[0]))]

    def end(steps: int) -> float:
        y, rate = np.array([1.0, 0.5]), np.array(slope(0.0, np.array([1.0, 0.5])))
        for i in range(steps):
            y, rate, _ = _step(slope, i / steps, y, rate, 1.0 / steps)
        return float(y[0])

    truth = end(256)
    assert math.log2(abs(end(8) - truth) / abs(end(16) - truth)) > 4.7


@pytest.mark.parametrize("release", [0.3, 2.0, 3.0])
def test_a_pendulum_passes_its_lowest_place_when_the_elliptic_integral_says(release: float) -> None:
    found = integrate(
        lambda t, y: [float(y[1]), -math.sin(float(y[0]))],
        0.0, np.array([release, 0.0]), [Crossing(0, 0.0, rising=False)], 60.0, 1e-10, 1e-13,
    )  # fmt: skip
    assert found.met == 0
    assert found.time[-1] == pytest.approx(float(ellipk(math.sin(release / 2) ** 2)), rel=1e-9)
    assert abs(found.state[-1, 0]) < 1e-12
    assert np.all(np.diff(found.time) > 0)


def test_the_earlier_of_two_crossings_ends_it_and_one_already_passed_does_not_count() -> None:
    def slope(t: float, y: np.ndarray) -> list[float]:
        return [1.0, -2.0]

    both = [Crossing(0, 0.5, rising=True), Crossing(1, -0.4, rising=False)]
    found = integrate(slope, 0.0, np.zeros(2), both, 10.0, 1e-6, 1e-9)
    assert (found.met, found.time[-1]) == (1, pytest.approx(0.2, rel=1e-12))
    found = integrate(slope, 0.0, np.zeros(2), [Crossing(0, 0.0, rising=True)], 2.0, 1e-6, 1e-9)
    assert (found.met, found.time[-1]) == (None, pytest.approx(2.0))


@pytest.mark.parametrize("case", [Condition(1.0, 0.0, 0.0, 1.0, 40.0), Condition(1.0, 90.0, 0.0, 0.8, -20.0)], ids=str)
def test_the_fall_of_the_demo_is_that_of_a_library_integrator(case: Condition) -> None:
    """scipy's DOP853 at a thousand times finer tolerance, to the same dead centre or stall."""
    faller, table = demo()
    run = simulation.simulate(faller, table, case)
    fall = Fall(faller, acting(faller, [case]).alone(), table.sources)

    def slope(now: float, y: np.ndarray) -> list[float]:
        row = table.at(float(y[0]))
        root = math.sqrt(row.inertia)
        m = fall.moments(row, min(float(y[1]), 0.0) / root)
        return [min(float(y[1]), 0.0) / root, (m.total - m.turning) / root]

    def contact(now: float, y: np.ndarray) -> float:
        return float(y[0]) - faller.first_contact

    def rest(now: float, y: np.ndarray) -> float:
        return float(y[1])

    contact.terminal, rest.terminal = True, True  # type: ignore[attr-defined]
    contact.direction, rest.direction = -1, 1  # type: ignore[attr-defined]
    start = [faller.stroke.driven_up, 0.0]
    truth = solve_ivp(slope, (0.0, 60.0), start, "DOP853", events=[contact, rest], rtol=1e-10, atol=1e-12)
    if run.locks:
        assert run.arrival == pytest.approx(5e-4 * truth.y[1, -1] ** 2, rel=2e-5)
    else:
        assert run.stop is not None
        assert run.stop[0] == pytest.approx(truth.y[0, -1], abs=2e-6)
        assert run.duration == pytest.approx(truth.t[-1], rel=2e-6)
