"""Circles, capsules and outlines from points."""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely

from linkage.plane.outlines import capsule, circle_outer, polygon_of, shapes_of


@pytest.mark.parametrize("radius", [0.5, 40.0, 3000.0])
@pytest.mark.parametrize("tol", [0.001, 0.1])
def test_circle_is_never_smaller_than_the_disc(radius: float, tol: float) -> None:
    circle, centre = circle_outer(300 - 70j, radius, tol), shapely.Point(300, -70)
    assert shapely.distance(circle.boundary, centre) >= radius
    assert np.abs(shapely.get_coordinates(circle) @ [1, 1j] - (300 - 70j)).max() <= radius + tol


@pytest.mark.parametrize("end", [200 + 90j, 10 + 20j])
def test_capsule_is_never_smaller_than_the_grown_segment(end: complex) -> None:
    made, segment = capsule(10 + 20j, end, 15.0, 0.05), shapely.LineString([(10, 20), (end.real, end.imag)])
    assert shapely.distance(made.boundary, segment) >= 15.0
    assert shapely.distance(shapely.points(shapely.get_coordinates(made)), segment).max() <= 15.05


def test_polygon_of_good_points() -> None:
    made = polygon_of([0, 4, 4 + 3j, 3j])
    assert isinstance(made, shapely.Polygon) and made.area == 12.0


@pytest.mark.parametrize(
    ("points", "reason"),
    [
        ([0, 1], "at least 3 different points, found 2"),
        ([0, 1, 1, 0], "at least 3 different points, found 2"),
        ([0, 1, 2, 3], "no area"),
        ([0, 10 + 10j, 10, 10j], r"crosses or touches itself at \(5, 5\)"),
        ([0, 10, complex("nan"), 10j], "point 3 is not a finite number"),
    ],
)
def test_polygon_of_bad_points_says_why(points: list[complex], reason: str) -> None:
    made = polygon_of(points)
    assert isinstance(made, str)
    assert re.search(reason, made)


def test_shapes_of_cores() -> None:
    for m, kind in ((1, "Point"), (2, "LineString"), (3, "Polygon")):
        cores = np.tile(np.exp(2j * np.arange(m)), (2, 1))
        assert [g.geom_type for g in shapes_of(cores, m == 3)] == [kind, kind]
