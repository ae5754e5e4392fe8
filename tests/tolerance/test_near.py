"""Distances of families of cores in plain arrays against the geometry engine."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from linkage.plane.outlines import shapes_of
from linkage.tolerance.near import Cores, Still, general_gaps, signed_gaps

POINT = np.array([0j])
CHAIN = np.array([0j, 40 + 5j, 55 + 30j])
RING = np.array([0j, 30 + 0j, 35 + 25j, 5 + 20j])


def cores(drawn: np.ndarray, closed: bool, at: complex, spread: float, seed: int) -> Cores:
    """300 cores near a drawn one."""
    rng = np.random.default_rng(seed)
    stray = rng.normal(0, spread, (300, len(drawn))) + 1j * rng.normal(0, spread, (300, len(drawn)))
    return Cores(drawn + at + stray, drawn + at, closed)


@pytest.mark.parametrize("one", [(POINT, False), (CHAIN, False), (RING, True)])
@pytest.mark.parametrize("two", [(POINT, False), (CHAIN, False), (RING, True)])
@pytest.mark.parametrize("apart", [90 + 20j, 62 - 8j])
def test_between_two_moving_cores(one: tuple, two: tuple, apart: complex) -> None:
    a, b = cores(*one, 0j, 1.5, 1), cores(*two, apart, 1.0, 2)
    found = signed_gaps(a, b, 7.0)
    expected = shapely.distance(shapes_of(a.points, a.closed), shapes_of(b.points, b.closed)) - 7.0
    assert found == pytest.approx(expected, abs=1e-9)
    still = signed_gaps(a, Still(shapes_of(b.drawn[None, :], b.closed)[0]), 7.0)
    expected = shapely.distance(shapes_of(a.points, a.closed), shapes_of(b.drawn[None, :], b.closed)) - 7.0
    assert still == pytest.approx(expected, abs=1e-9)


def test_where_cores_may_touch_the_depth_is_asked() -> None:
    a, b = cores(POINT, False, 15 + 10j, 3.0, 3), cores(RING, True, 0j, 0.5, 4)
    found = signed_gaps(a, b, 2.0)
    assert np.array_equal(found, general_gaps(a, b, 2.0))
    depth = shapely.distance(shapely.boundary(b.shapes()), a.shapes())
    assert found == pytest.approx(-depth - 2.0, abs=1e-9)
    turned = signed_gaps(b, a, 2.0)  # the depth is that in the ring, whichever comes first
    assert turned == pytest.approx(found, abs=1e-9)


def test_beside_one_another_it_only_counts_whether_they_overlap() -> None:
    """Without depth: exact where they are apart, nothing above 0 where they overlap."""
    a, b = cores(CHAIN, False, 0j, 2.0, 5), cores(CHAIN, False, 10 + 24j, 2.0, 6)
    for radius in (5.0, 12.0, 40.0):
        exact = shapely.distance(a.shapes(), b.shapes()) - radius
        found = signed_gaps(a, b, radius, depth=False)
        assert np.maximum(found, 0.0) == pytest.approx(np.maximum(exact, 0.0), abs=1e-9)
        assert np.all(found >= -radius)


def test_a_core_that_cannot_be_has_no_gap() -> None:
    a, b = cores(CHAIN, False, 0j, 1.0, 7), cores(RING, True, 90j, 1.0, 8)
    a.points[3] = np.nan
    b.points[5] = np.nan
    found = signed_gaps(a, b, 1.0)
    assert list(np.flatnonzero(np.isnan(found))) == [3, 5]
