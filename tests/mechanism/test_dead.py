"""Dead points, found and placed."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.mechanism import dead_points, plan, solve, travel_rate
from tests.mechanism.linkages import ACTUATOR_ROOT, HORN, KNEE, LUG, TRUNNION, UPPER_PIN, demo_gear, four_bar


def test_a_rocker_turns_back_where_crank_and_coupler_line_up() -> None:
    found = plan(four_bar(40, 120, 80, 100, 1.0))
    places = dead_points(lambda q: solve(found, q, order=1).spin("rocker")[0], np.linspace(0, 2 * np.pi, 100))
    ends = []  # coupler and crank in line, by the law of cosines in the triangle pivot, rocker pin, pivot
    for reach, turn in ((160.0, 0.0), (80.0, np.pi)):
        angle = np.arccos((reach**2 + 100**2 - 80**2) / (2 * reach * 100))
        ends.append((angle + turn - 1.0) % (2 * np.pi))
    assert places == pytest.approx(sorted(ends), abs=1e-12)


def test_the_demo_leg_turns_back_with_its_knee_on_the_line_to_the_lug() -> None:
    found = plan(demo_gear())
    places = dead_points(lambda q: solve(found, q, order=1).spin("leg")[0], np.linspace(-1.8, 0.0, 300))
    assert len(places) == 1
    there = solve(found, places, order=0)
    knee, lug = there.point("upper", KNEE)[0, 0], there.point("leg", LUG)[0, 0]
    assert abs(lug - UPPER_PIN) == pytest.approx(200 + 123, abs=1e-10)
    assert ((knee - UPPER_PIN) * (lug - UPPER_PIN).conjugate()).imag == pytest.approx(0.0, abs=1e-8)
    assert np.degrees(places[0]) == pytest.approx(-1.57, abs=0.3)


def test_the_drive_is_dead_with_root_pivot_and_pin_in_line() -> None:
    mechanism = demo_gear()
    found = plan(mechanism)

    def rate(q: np.ndarray) -> np.ndarray:
        return travel_rate(solve(found, q, order=1), mechanism, "actuator")[0]

    with np.errstate(invalid="ignore"):
        places = dead_points(rate, np.linspace(-2.2, 1.5, 400))
    line = np.angle(ACTUATOR_ROOT - UPPER_PIN) - np.angle(HORN - UPPER_PIN)
    expected = [x for k in range(-4, 5) if -2.2 < (x := line + k * np.pi) < 1.5]
    assert places == pytest.approx(sorted(expected), abs=1e-12)
    assert abs(TRUNNION - ACTUATOR_ROOT) > 50


def test_a_place_on_the_grid_itself_is_found_once() -> None:
    assert dead_points(lambda q: q, np.linspace(-1, 1, 5)) == pytest.approx([0.0], abs=0)
    turns = dead_points(np.sin, np.arange(0, 8) * np.pi / 2)
    assert turns == pytest.approx([0, np.pi, 2 * np.pi, 3 * np.pi], abs=2e-15)


def test_a_change_of_sign_through_infinity_is_no_dead_point() -> None:
    with np.errstate(divide="ignore"):
        assert len(dead_points(lambda q: 1 / (q - 0.3), np.linspace(-1, 1, 8))) == 0
    found = dead_points(np.tan, np.linspace(-2, 2, 8))
    assert found == pytest.approx([0.0], abs=1e-15)


def test_poses_that_do_not_close_are_passed_over() -> None:
    def half(q: np.ndarray) -> np.ndarray:
        return np.where(q < 0, np.nan, q - 0.7)

    assert dead_points(half, np.linspace(-1, 1, 11)) == pytest.approx([0.7], abs=1e-15)


def test_nothing_found_is_an_empty_list() -> None:
    assert dead_points(lambda q: q * q + 1, np.linspace(-1, 1, 8)).shape == (0,)
