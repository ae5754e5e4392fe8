"""Interval arithmetic: whatever random members are put in, what comes out lies inside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.plane.spans import Box, Span, box, point, root, unit
from linkage.plane.vectors import cross, dot, square

EXAMPLES = settings(max_examples=50, deadline=None, derandomize=True)
NUMBERS = st.one_of(
    st.floats(-1e6, 1e6, allow_subnormal=False), st.sampled_from([0.0, -0.0, 1.0, -1.0, 1e-9, np.pi / 2, np.pi])
)
PARTS = st.floats(0, 1)


@st.composite
def spans(draw: st.DrawFn) -> tuple[Span, Any]:
    """A span and some of its members, ends included."""
    a, b = draw(NUMBERS), draw(NUMBERS)
    lo, hi = min(a, b), max(a, b)
    inside = lo + np.array([0.0, draw(PARTS), draw(PARTS), 1.0]) * (hi - lo)
    return Span(np.float64(lo), np.float64(hi)), np.clip(inside, lo, hi)


@st.composite
def boxes(draw: st.DrawFn) -> tuple[Box, Any]:
    (x, some_x), (y, some_y) = draw(spans()), draw(spans())
    return Box(x, y), np.add.outer(some_x, 1j * some_y).ravel()


def holds(result: Any, values: Any) -> bool:
    """Whether all values lie in the span or box; NaN at an end says nothing and so holds everything."""
    if isinstance(result, Box):
        return holds(result.real, values.real) and holds(result.imag, values.imag)
    return not np.any(values < result.lo) and not np.any(values > result.hi)


def pairs(one: Any, other: Any) -> tuple[Any, Any]:
    a, b = np.meshgrid(one, other)
    return a.ravel(), b.ravel()


BINARY: list[Callable[[Any, Any], Any]] = [
    lambda a, b: a + b,
    lambda a, b: a - b,
    lambda a, b: a * b,
    lambda a, b: 3.0 * a - b * 2.0 + 1.0,
]


@EXAMPLES
@given(spans(), spans(), st.sampled_from(BINARY))
def test_sums_and_products_of_spans(one: Any, other: Any, work: Callable[[Any, Any], Any]) -> None:
    assert holds(work(one[0], other[0]), work(*pairs(one[1], other[1])))


@EXAMPLES
@given(spans(), spans())
def test_quotients_of_spans(one: Any, other: Any) -> None:
    a, b = pairs(one[1], other[1])
    whole = b != 0
    with np.errstate(invalid="ignore", over="ignore"):  # nought times everything says nothing
        assert holds(one[0] / other[0], a[whole] / b[whole])
        assert holds(7.0 / other[0], 7.0 / b[whole])


@EXAMPLES
@given(boxes(), boxes(), st.sampled_from([*BINARY, lambda a, b: a.conjugate() * b]))
def test_sums_and_products_of_boxes(one: Any, other: Any, work: Callable[[Any, Any], Any]) -> None:
    assert holds(work(one[0], other[0]), work(*pairs(one[1], other[1])))


@EXAMPLES
@given(boxes(), boxes(), st.sampled_from([dot, cross]))
def test_products_of_vectors(one: Any, other: Any, work: Callable[[Any, Any], Any]) -> None:
    assert holds(work(one[0], other[0]), work(*pairs(one[1], other[1])))


@EXAMPLES
@given(boxes(), spans())
def test_boxes_with_spans_and_numbers(one: Any, other: Any) -> None:
    z, x = pairs(one[1], other[1])
    assert holds(one[0] * other[0], z * x)
    assert holds(other[0] * one[0], z * x)
    assert holds(other[0] + one[0], z + x)
    assert holds(one[0] - other[0], z - x)
    assert holds(other[0] * (3 - 2j), x * (3 - 2j))
    assert holds(np.array([[3 - 2j]]) * one[0], z * (3 - 2j))
    assert holds(1j - one[0], 1j - z)
    assert holds(one[0] / 3.0, z / 3.0)
    whole = x != 0
    with np.errstate(invalid="ignore", over="ignore"):
        assert holds(one[0] / other[0], z[whole] / x[whole])


@EXAMPLES
@given(spans(), boxes())
def test_squares_are_never_negative_and_hold_all_squares(one: Any, other: Any) -> None:
    assert holds(one[0] * one[0], one[1] ** 2)
    assert (one[0] * one[0]).lo >= 0
    assert holds(square(other[0]), square(other[1]))
    assert square(other[0]).lo >= 0


@EXAMPLES
@given(spans())
def test_roots(one: Any) -> None:
    real = one[1] >= 0
    assert holds(root(one[0]), np.sqrt(one[1][real]))
    if one[0].hi < 0:
        assert np.isnan(root(one[0]).lo)
        assert root(one[0]).most() == np.inf


@EXAMPLES
@given(spans())
def test_directions(one: Any) -> None:
    found = unit(one[0])
    assert holds(found, np.cos(one[1]) + 1j * np.sin(one[1]))
    assert max(found.real.hi, found.imag.hi) <= 1 + 1e-11
    assert min(found.real.lo, found.imag.lo) >= -1 - 1e-11


@pytest.mark.parametrize("q", [0.0, 1e-20, np.pi / 2, -np.pi / 2, np.pi, 2 * np.pi, 100.0])
def test_the_direction_of_a_single_angle_is_a_single_point(q: float) -> None:
    found = unit(Span(np.array([q]), np.array([q])))
    assert holds(found, np.array([np.cos(q) + 1j * np.sin(q)]))
    assert np.ptp([found.real.lo, found.real.hi]) < 1e-11
    assert np.ptp([found.imag.lo, found.imag.hi]) < 1e-11


@EXAMPLES
@given(spans(), boxes())
def test_the_most_is_the_largest_size(one: Any, other: Any) -> None:
    assert np.all(np.abs(one[1]) <= one[0].most())
    assert np.all(np.abs(other[1]) <= other[0].most() * (1 + 1e-15))
    assert one[0].most() == np.max(np.abs(one[1]))


def test_dividing_by_what_holds_nought_says_nothing() -> None:
    assert Span(-1.0, 2.0).inverse().most() == np.inf
    with np.errstate(invalid="ignore"):
        assert (Span(0.0, 1.0) / Span(0.0, 1.0)).most() == np.inf
    assert Span(np.nan, 1.0).most() == np.inf


def test_spans_of_arrays_work_member_by_member() -> None:
    many = Span(np.array([-1.0, 2.0]), np.array([1.0, 3.0])) * Span(np.array([4.0, -1.0]), np.array([5.0, -1.0]))
    assert many.lo == pytest.approx([-5.0, -3.0], rel=1e-11)
    assert many.hi == pytest.approx([5.0, -2.0], rel=1e-11)


def test_a_point_is_a_box_of_spans_or_a_complex_number() -> None:
    assert point(Span(1.0, 2.0), Span(3.0, 4.0)) == Box(Span(1.0, 2.0), Span(3.0, 4.0))
    assert point(np.array([1.0, 2.0]), 3.0).tolist() == [1 + 3j, 2 + 3j]
    assert box(1 + 2j) == Box(Span(1.0, 1.0), Span(2.0, 2.0))
    assert box(Span(1.0, 2.0)).imag == Span(0.0, 0.0)


def test_the_root_of_a_negative_number_is_not_a_number() -> None:
    assert root(np.array([4.0, -1e-30, np.nan])).tolist()[0] == 2.0
    assert np.all(np.isnan(root(np.array([-1e-30, np.nan]))))
