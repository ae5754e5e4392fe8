"""One stop makes the lock; a second one leaves the offset to the lengths of the links."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.gear import BraceShape
from linkage.lock import offset_with_ends_held
from tests.lock.bench import bench, filed, topology


def heron(a: float, b: float, c: float) -> float:
    """Height of a triangle over its side c, from its area."""
    s = (a + b + c) / 2
    return 2 * math.sqrt(max(s * (s - a) * (s - b) * (s - c), 0.0)) / c


def shape(upper: float, lower: float, h: float) -> BraceShape:
    span = math.sqrt(upper**2 - h * h) + math.sqrt(lower**2 - h * h)
    return BraceShape(upper, lower, h, 0.0, span, 0j, 0j, 1j)


@settings(derandomize=True, deadline=None)
@given(st.floats(60, 400), st.floats(60, 400), st.floats(1, 10), st.floats(-0.5, 0.5))
def test_offset_closes_the_triangle_again(upper: float, lower: float, h: float, error: float) -> None:
    pair = shape(upper, lower, h)
    found = offset_with_ends_held(pair, error)
    if found.offset is None:
        assert found.lack == pytest.approx(pair.span - (upper + error) - lower, abs=1e-12)
        assert found.lack > -1e-12
    else:
        assert found.offset == pytest.approx(heron(upper + error, lower, pair.span), rel=1e-5, abs=1e-5)


def test_demo_loses_its_offset_to_three_tenths() -> None:
    """By hand: h^2 = 200.3^2 - ((span^2 + 200.3^2 - 123^2)/(2 span))^2 with span 322.8358; 0.3 mm short it is open."""
    less, same, more = filed().lock.stops.held_ends
    assert (less.error, less.offset) == (-0.3, None)
    assert less.lack == pytest.approx(322.8358221972198 - 322.7, abs=1e-9)
    assert same.offset == pytest.approx(5.0, abs=1e-9)
    foot = (322.8358221972198**2 + 200.3**2 - 123**2) / (2 * 322.8358221972198)
    assert more.offset == pytest.approx(math.sqrt(200.3**2 - foot**2), abs=1e-9)


def test_both_stops_are_reported_and_one_is_not() -> None:
    assert filed().lock.stops.present == ("knee stop",)
    both = bench({"gear.leg.stop": True}).lock.stops
    assert both.present == ("knee stop", "leg stop")
    leg = bench({"gear.leg.stop": True, "gear.brace.stop": False}).lock.stops
    assert leg.present == ("leg stop",)
    assert topology("lock links").lock.stops.present == ("lock-link stop",)
    assert topology("telescoping").lock.stops.present == ("stop in the brace",)
    assert topology("sliding root").lock.stops.present == ("stop of the track",)
