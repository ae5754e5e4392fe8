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


turning = st.one_of(st.floats(-2.6, -0.3), st.floats(0.3, 2.6))


def images(point: complex, shifts: list[complex], turns: list[float]) -> list[complex]:
    """A point of a body in its first position and after two more movements of it."""
    found = [point]
    for shift, turn in zip(shifts, turns, strict=True):
        found.append(shift + np.exp(1j * turn) * found[-1])
    return found


def half(angle: complex) -> float:
    """An angle as a line has it, without its sense: in half turns."""
    return float(np.angle(angle**2)) / 2


@quiet
@given(place, st.lists(place, min_size=2, max_size=2), st.lists(turning, min_size=2, max_size=2))
def test_pole_triangle(point: complex, shifts: list[complex], turns: list[float]) -> None:
    """Three positions of a body have three poles; the triangle's angle at each is half the turn about it, and its third
    pole is that of the two movements after one another. Burmester's pole triangle, from memory."""
    a1, a2, a3 = images(point, shifts, turns)
    whole = turns[0] + turns[1]
    if abs(np.sin(whole / 2)) < 0.05:
        return
    p12, p23, p13 = pole(a1, a2, turns[0]), pole(a2, a3, turns[1]), pole(a1, a3, whole)
    if min(abs(p12 - p23), abs(p12 - p13), abs(p23 - p13)) < 1.0:
        return  # one turn after another about nearly the same place: no triangle
    for there, one, other, turn in ((p12, p13, p23, turns[0]), (p23, p12, p13, turns[1]), (p13, p12, p23, whole)):
        angle = (other - there) / (one - there)
        assert half(angle * np.exp(-0.5j * turn) / abs(angle)) == pytest.approx(0.0, abs=1e-6)


@quiet
@given(place, st.lists(place, min_size=2, max_size=2), st.lists(turning, min_size=2, max_size=2))
def test_centre_point_seen_from_the_poles(point: complex, shifts: list[complex], turns: list[float]) -> None:
    """The centre of the circle through three images of a point lies, seen from each pole, half the turn about that pole
    ahead of the image before it: it is on the bisector of every pair. So a search's trunnion for three wanted places
    is the centre point of the axle."""
    a = images(point, shifts, turns)
    centre = circle_centre(*a)
    if not abs(centre - point) < 1e5:
        return  # three images nearly in line
    for first, second, turn in ((a[0], a[1], turns[0]), (a[1], a[2], turns[1]), (a[0], a[2], sum(turns))):
        if abs(np.sin(turn / 2)) < 0.05 or abs(second - first) < 1.0:
            continue
        there = pole(first, second, turn)
        if min(abs(there - centre), abs(there - first)) > 1.0:
            angle = (centre - there) / (first - there)
            assert half(angle * np.exp(-0.5j * turn) / abs(angle)) == pytest.approx(0.0, abs=1e-5)
        assert abs(centre - first) == pytest.approx(abs(centre - second), rel=1e-6)


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
