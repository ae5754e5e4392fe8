"""Two- and three-position construction against what it is defined by."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.mechanism.positions import bisector, circle_centre, off_bisector, pole, turn_about
from linkage.plane.turns import cosine_over, crosses_line

quiet = settings(derandomize=True, deadline=None, max_examples=100)
coordinate = st.floats(-1000, 1000)
place = st.builds(complex, coordinate, coordinate)
turn = st.floats(0.2, 3.0)


def test_circle_through_the_corners_of_a_3_4_5_triangle() -> None:
    """The circle of Thales: its centre halves the hypotenuse (Euclid, Elements III.31)."""
    assert circle_centre(0j, 6 + 0j, 8j) == pytest.approx(3 + 4j, abs=1e-12)
    assert np.isnan(circle_centre(0j, 1 + 1j, 2 + 2j))


@quiet
@given(place, place, turn)
def test_the_pole_turns_one_place_into_the_other(first: complex, second: complex, angle: float) -> None:
    if abs(second - first) < 1:
        return
    p = pole(first, second, angle)
    assert p + np.exp(1j * angle) * (first - p) == pytest.approx(second, abs=1e-9)
    assert turn_about(p, first, second) == pytest.approx(angle, abs=1e-9)
    middle, way = bisector(first, second)
    # at half the chord over the tangent of half the turn from the chord: the classical construction
    assert p == pytest.approx(middle + way * abs(second - first) / 2 / np.tan(angle / 2), abs=1e-8)
    assert off_bisector(p, first, second) == pytest.approx(0.0, abs=1e-8)


@quiet
@given(place, st.floats(10, 900), st.lists(st.floats(0, 6.2), min_size=3, max_size=3, unique=True))
def test_three_places_give_back_their_circle(centre: complex, radius: float, at: list[float]) -> None:
    apart = min(abs(np.exp(1j * a) - np.exp(1j * b)) for i, a in enumerate(at) for b in at[i + 1 :])
    if apart > 0.05:
        assert circle_centre(*(centre + radius * np.exp(1j * np.array(at)))) == pytest.approx(centre, abs=1e-5)


def test_several_at_once() -> None:
    ends = np.array([100 + 0j, 0 + 50j])
    assert pole(np.zeros(2), ends, np.pi / 2) == pytest.approx([50 + 50j, -25 + 25j])


@quiet
@given(st.floats(-20, 20), st.floats(0, 12))
def test_extremes_of_a_cosine_hold_between_samples(start: float, sweep: float) -> None:
    low, high = cosine_over(np.array([start]), np.array([sweep]))
    seen = np.cos(start + sweep * np.linspace(0, 1, 20001))
    assert low[0] <= seen.min() + 1e-12
    assert high[0] >= seen.max() - 1e-12
    assert low[0] == pytest.approx(seen.min(), abs=1e-6)
    assert high[0] == pytest.approx(seen.max(), abs=1e-6)


@quiet
@given(st.floats(-20, 20), st.floats(-6, 6))
def test_an_angle_that_crosses_the_line(start: float, sweep: float) -> None:
    seen = np.sign(np.sin(start + sweep * np.linspace(0, 1, 2001)))
    if {-1.0, 1.0} <= set(seen):
        assert crosses_line(start, sweep, 0.0)
    elif crosses_line(start, sweep, 0.0):
        ends = np.array([start, start + sweep]) / np.pi
        assert np.abs(ends - np.rint(ends)).min() < 0.01
