"""Slabs cut into a stack, and what bad slabs are told."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from linkage.handoff.model import HandoffError, NamedSolid, Slab
from linkage.handoff.stack import joined, measured, side_view, stacked


def solid(*slabs: tuple[float, float, BaseGeometry]) -> NamedSolid:
    return NamedSolid("a", (0, 0, 0), tuple(Slab(*s) for s in slabs))


def test_nested_symmetric_slabs_are_the_same_as_lying_ones() -> None:
    nested = solid((-30, 30, box(0, 0, 10, 10)), (-10, 10, box(-5, -5, 15, 15)))
    lying = solid(
        (-30, -10, box(0, 0, 10, 10)),
        (-10, 10, box(-5, -5, 15, 15)),
        (10, 30, box(0, 0, 10, 10)),
    )
    assert [(s.bl_lo, s.bl_hi, s.region.area) for s in stacked(nested)] == [
        (s.bl_lo, s.bl_hi, s.region.area) for s in stacked(lying)
    ]
    assert measured(nested).volume_mm3 == 40 * 100 + 20 * 400
    assert measured(nested).bounds_mm == (-5, -30, -5, 15, 30, 15)


def test_crossing_slabs_are_joined_and_gaps_stay_gaps() -> None:
    crossing = solid((0, 10, box(0, 0, 10, 4)), (5, 15, box(3, -3, 7, 7)), (20, 25, box(0, 0, 1, 1)))
    rows = stacked(crossing)
    assert [(s.bl_lo, s.bl_hi) for s in rows] == [(0, 5), (5, 10), (10, 15), (20, 25)]
    assert rows[1].region.area == pytest.approx(40 + 40 - 16, rel=1e-6)
    assert measured(crossing).side_area_mm2 == pytest.approx(64, rel=1e-6)


def test_equal_neighbours_become_one() -> None:
    assert len(stacked(solid((0, 1, box(0, 0, 1, 1)), (1, 2, box(0, 0, 1, 1))))) == 1


def test_rounding_makes_no_slab_of_its_own() -> None:
    third = 0.1 + 0.2
    rows = stacked(solid((0, 0.3, box(0, 0, 1, 1)), (third, 1, box(0, 0, 2, 2)), (0.5, 1 + 1e-13, box(0, 0, 3, 3))))
    assert [(s.bl_lo, s.bl_hi) for s in rows] == [(0, 0.3), (0.3, 0.5), (0.5, 1 + 1e-13)]


def test_union_covers_what_it_joins() -> None:
    parts = [Point(math.cos(k) * 50, math.sin(k) * 50).buffer(30, quad_segs=50) for k in range(40)]
    union = joined(parts)
    assert all(union.covers(p) for p in parts)
    assert side_view([Slab(0, 1, p) for p in parts]).covers(union)


@pytest.mark.parametrize(
    ("bad", "word"),
    [
        (solid(), "no slabs"),
        (solid((1, 1, box(0, 0, 1, 1))), "rising"),
        (solid((0, math.nan, box(0, 0, 1, 1))), "rising"),
        (solid((0, 1, Polygon())), "area"),
        (solid((0, 1, LineString([(0, 0), (1, 1)]))), "polygon"),
        (solid((0, 1, Polygon([(0, 0), (2, 2), (2, 0), (0, 1)]))), "broken"),
        (NamedSolid("  ", (0, 0, 0), (Slab(0, 1, box(0, 0, 1, 1)),)), "name"),
    ],
)
def test_bad_slabs_are_named(bad: NamedSolid, word: str) -> None:
    with pytest.raises(HandoffError, match=word):
        measured(bad)
