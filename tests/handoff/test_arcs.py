"""Arcs around a region: never inside, never farther out than said, and few of them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from linkage.handoff.arcs import ArcPolygon, arc_centre, certified, fit_region, flat_polygon, path_area, polygons_of
from linkage.handoff.model import HandoffError
from tests.handoff.samples import realistic

TOLERANCE = 0.05


def pieces(fit: tuple[ArcPolygon, ...]) -> int:
    return sum(len(path) for piece in fit for path in (piece.outer, *piece.holes))


def assert_outside(fit: tuple[ArcPolygon, ...], region: BaseGeometry, tolerance: float = TOLERANCE) -> None:
    """Checked without the flattening that the fit itself uses: points along every piece, placed by its own circle."""
    for piece in fit:
        for path in (piece.outer, *piece.holes):
            spots = []
            for (a, bulge), (b, _) in zip(path, (*path[1:], path[0]), strict=True):
                share = np.linspace(0, 1, 60)
                if bulge == 0:
                    spots.append(a + share * (b - a))
                else:
                    centre, _ = arc_centre(a, b, bulge)
                    spots.append(centre + (a - centre) * np.exp(1j * 4 * math.atan(bulge) * share))
            z = np.concatenate(spots)
            gap = shapely.distance(shapely.points(z.real, z.imag), region)
            inside = shapely.contains_properly(region, shapely.points(z.real, z.imag))
            assert not inside.any()
            assert gap.max() <= tolerance
    assert sum(p.area for p in fit) >= region.area


def test_a_thousand_vertices_become_a_few_pieces() -> None:
    slab = realistic()[5]
    fit = fit_region(slab.region, TOLERANCE)
    assert len(shapely.get_coordinates(slab.region)) > 1000
    assert pieces(fit) <= 40
    assert_outside(fit, slab.region)


def test_a_disc_comes_out_as_a_disc() -> None:
    disc = Point(900, 400).buffer(180, quad_segs=200)
    fit = fit_region(disc, TOLERANCE)
    assert pieces(fit) <= 4
    assert math.pi * 180**2 * (1 - 1e-4) < fit[0].area < math.pi * (180 + TOLERANCE) ** 2
    assert all(bulge != 0 for _, bulge in fit[0].outer)


def test_straight_edges_stay_straight_and_corners_stay_corners() -> None:
    fit = fit_region(box(0, 0, 300, 100), TOLERANCE)
    assert [bulge for _, bulge in fit[0].outer] == [0.0] * 4
    assert_outside(fit, box(0, 0, 300, 100))


def test_holes_shrink_and_pinholes_close() -> None:
    plate = box(0, 0, 300, 300) - Point(150, 150).buffer(80, quad_segs=100) - Point(20, 20).buffer(0.01)
    fit = fit_region(plate, TOLERANCE)
    assert len(fit[0].holes) == 1
    hole = -path_area(fit[0].holes[0])
    assert math.pi * (80 - 2 * TOLERANCE) ** 2 < hole < math.pi * 80**2
    assert_outside(fit, plate)


def test_pieces_a_hair_apart_do_not_cross() -> None:
    region = MultiPolygon([box(0, 0, 100, 100), box(100.06, 0, 200, 100), box(0, 100.001, 200, 150)])
    fit = fit_region(region, TOLERANCE)
    flats = [flat_polygon(p, 1e-4, outside=True) for p in fit]
    assert all(not a.intersects(b) for i, a in enumerate(flats) for b in flats[:i])
    assert_outside(fit, region)


def test_area_by_bulges_is_that_of_many_chords() -> None:
    fit = fit_region(realistic()[5].region, TOLERANCE)
    flat = sum(flat_polygon(p, 1e-7, outside=True).area for p in fit)
    assert sum(p.area for p in fit) == pytest.approx(flat, rel=1e-8)


def test_the_certificate_notices_a_fit_that_cuts_in() -> None:
    region = Point(0, 0).buffer(100, quad_segs=100)
    outer = ((-99 + 0j, 1.0), (99 + 0j, 1.0))
    assert not certified((ArcPolygon(outer),), region, TOLERANCE)
    assert not certified((ArcPolygon(((-101 + 0j, 1.0), (101 + 0j, 1.0))),), region, TOLERANCE)
    assert certified((ArcPolygon(((-100.02 + 0j, 1.0), (100.02 + 0j, 1.0))),), region, TOLERANCE)


@pytest.mark.parametrize("region", [Polygon(), Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])])
def test_broken_regions_are_refused(region: Polygon) -> None:
    with pytest.raises(HandoffError):
        fit_region(region, TOLERANCE)
    with pytest.raises(HandoffError):
        fit_region(box(0, 0, 1, 1), 0.0)


@settings(derandomize=True, max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.02, 1.0), st.floats(20, 300)), min_size=3, max_size=40),
    st.sampled_from([0.0, 3.0, -3.0, 25.0]),
    st.sampled_from([0.02, 0.05, 0.2]),
)
def test_random_rings_stay_inside_their_arcs(
    steps: list[tuple[float, float]], rounding: float, tolerance: float
) -> None:
    turns = np.cumsum([s for s, _ in steps])
    turns = turns / (turns[-1] + steps[0][0]) * 2 * math.pi
    ring = np.array([r for _, r in steps]) * np.exp(1j * turns)
    raw = Polygon(np.column_stack([ring.real, ring.imag])).buffer(0)
    for region in polygons_of(raw.buffer(rounding, quad_segs=40)):
        if region.area > 1.0:
            assert_outside(fit_region(region, tolerance), region, tolerance)
