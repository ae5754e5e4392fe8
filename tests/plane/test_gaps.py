"""Gap brackets: closed forms, dense brute force, between the samples, contact, and the ends of a dimension line."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.plane import contact
from linkage.plane.envelope import EnvelopeError
from linkage.plane.gaps import Gap, gap_curve, least_gap, least_gap_between, nearest_pair
from linkage.plane.outlines import circle_outer, shapes_of
from tests.plane.motions import Moving, random_core, random_motion

BRACKET = 0.05


def turning(core: Any, closed: bool = False) -> Moving:
    """Turn about 0 by one radian over the parameter 0..1."""
    core = np.atleast_1d(np.asarray(core, dtype=complex))
    return Moving(core, closed, lambda t: core * np.exp(1j * np.asarray(t))[:, None], float(np.abs(core).max()))


def sliding(core: Any, way: complex, closed: bool = False) -> Moving:
    core = np.atleast_1d(np.asarray(core, dtype=complex))
    return Moving(core, closed, lambda t: core + way * np.asarray(t)[:, None], 0.0)


def gap_of(body: Moving, radius: float, obstacle: Any, bracket: float = BRACKET) -> Gap:
    return least_gap(body.at, body.slack, body.closed, radius, obstacle, 0.0, 1.0, bracket)


def gap_between(a: Moving, b: Moving, radius_a: float, radius_b: float) -> Gap:
    return least_gap_between(a.at, b.at, a.slack, b.slack, a.closed, b.closed, radius_a, radius_b, 0.0, 1.0, BRACKET)


def holds(gap: Gap, truth: float, bracket: float = BRACKET) -> bool:
    return gap.lower <= truth + 1e-9 and truth <= gap.upper + 1e-9 and gap.upper - gap.lower <= bracket + 1e-9


# --- closed forms ---------------------------------------------------------------------------------------------------


def test_disc_past_a_point() -> None:
    """Way of the centre: the circle of radius 700; the point lies at radius 950, half a radian round."""
    gap = gap_of(turning(700.0), 180.0, shapely.Point(950 * np.cos(0.5), 950 * np.sin(0.5)))
    assert holds(gap, 70.0)
    assert gap.at == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("bracket", [1.0, 0.05, 0.001])
def test_rod_that_touches_a_corner_with_its_middle(bracket: float) -> None:
    """A rod square to its radius at 300 from the pivot, nearest to a point at radius 290 when that is at its foot."""
    gap = gap_of(turning([300 - 200j, 300 + 200j]), 4.0, shapely.Point(290 * np.cos(0.6), 290 * np.sin(0.6)), bracket)
    assert holds(gap, 6.0, bracket)


@pytest.mark.parametrize("core", [[900.0], [900 - 30j, 900 + 30j]])
def test_constant_gap_does_not_cost_many_cells(core: list[complex]) -> None:
    """Disc on an arc along a wall with the same centre, and a rod square to its radius: no place is the least."""
    wall = shapely.Point(0, 0).buffer(1000.0, quad_segs=4000).boundary
    body, seen = turning(core), []

    def at(t: Any) -> Any:
        seen.append(len(t))
        return body.at(t)

    exact = 1000 - np.abs(body.core).max() - 60.0
    gap = least_gap(at, body.slack, False, 60.0, wall, 0.0, 1.0, BRACKET)
    assert gap.lower <= exact and abs(gap.upper - exact) < 1e-3 and gap.upper - gap.lower <= BRACKET
    assert sum(seen) < 400


def test_nearest_at_the_pivot_itself() -> None:
    """The far end travels a metre, the near end not at all."""
    seen = []

    def at(t: Any) -> Any:
        seen.append(len(t))
        return turning([0.0, 1000.0]).at(t)

    gap = least_gap(at, turning([0.0, 1000.0]).slack, False, 20.0, shapely.box(-90, -50, -50, 50), 0.0, 1.0)
    assert holds(gap, 30.0)
    assert sum(seen) < 200


def test_a_short_visit_between_the_samples_is_found() -> None:
    needle = shapely.Point(123.456, 0.4)
    body = sliding(0.0, 1000.0)
    assert gap_of(body, 0.1, needle).upper == pytest.approx(0.3, abs=BRACKET)
    passed = gap_of(body, 0.5, needle)
    assert passed.upper < 0 and holds(passed, -0.1)


def test_two_moving_bodies() -> None:
    """Two discs on crossing ways meet when both are in the middle; and a rod past a corner of a box."""
    a, b = sliding(-500.0, 1000.0), sliding(-500j + 30, 1000j)
    assert holds(gap_between(a, b, 5.0, 4.0), 30 / np.sqrt(2) - 9)
    rod, box = turning([100.0, 400.0]), sliding(np.array([0, 50, 50 + 50j, 50j]) + 420 - 25j, 0.0, True)
    assert holds(gap_between(rod, box, 6.0, 0.0), 14.0)
    assert holds(gap_between(box, rod, 0.0, 6.0), 14.0)


def test_bodies_that_move_together_keep_their_gap() -> None:
    """Seen from each other they rest, however far they go."""
    a, b = turning([300.0, 320 + 80j, 280 + 60j], True), turning([400.0, 420 + 90j])
    start = float(shapely.distance(shapes_of(a.core[None], True)[0], shapes_of(b.core[None], False)[0]))
    assert holds(gap_between(a, b, 10.0, 5.0), start - 15.0)


# --- brute force ----------------------------------------------------------------------------------------------------


def random_obstacle(rng: np.random.Generator, size: float) -> Any:
    core, closed = random_core(rng, size)
    return shapes_of((core + size * (rng.normal() + 1j * rng.normal()) * 2.5)[None, :], closed)[0]


@pytest.mark.parametrize("seed", range(2))
def test_bracket_against_dense_samples(seed: int) -> None:
    rng = np.random.default_rng(seed)
    t = np.sort(rng.uniform(0, 1, 2000))
    for _ in range(25):
        size = 10 ** rng.uniform(1.5, 3)
        body = random_motion(rng, *random_core(rng, size), size)
        radius, obstacle = size * float(rng.choice([0, 0.05, 0.2])), random_obstacle(rng, size)
        gap = gap_of(body, radius, obstacle)
        dense = float(gap_curve(body.at(t), body.closed, radius, obstacle).min())
        assert gap.lower <= dense + 1e-9
        assert gap.lower <= gap.upper
        assert gap.upper == pytest.approx(gap_curve(body.at(np.array([gap.at])), body.closed, radius, obstacle)[0])
        if gap.upper > -radius:
            assert gap.upper - gap.lower <= BRACKET
            assert dense >= gap.upper - BRACKET


@pytest.mark.parametrize("seed", range(2))
def test_bracket_between_moving_bodies_against_dense_samples(seed: int) -> None:
    rng = np.random.default_rng(50 + seed)
    t = np.sort(rng.uniform(0, 1, 2000))
    for _ in range(15):
        size = 10 ** rng.uniform(1.5, 3)
        a = random_motion(rng, *random_core(rng, size), size)
        core, closed = random_core(rng, size)
        b = random_motion(rng, core + size * (rng.normal() + 1j * rng.normal()) * 2.5, closed, size)
        gap = gap_between(a, b, 0.1 * size, 1.0)
        first, second = shapes_of(a.at(t), a.closed), shapes_of(b.at(t), b.closed)
        pair = (first, second) if b.closed or not a.closed else (second, first)
        dense = float(contact.signed(*pair, 0.1 * size + 1.0).min())
        assert gap.lower <= dense + 1e-9
        assert gap.lower <= gap.upper
        if gap.upper > -(0.1 * size + 1.0):
            assert gap.upper - gap.lower <= BRACKET
            assert dense >= gap.upper - BRACKET


@settings(derandomize=True, deadline=None, max_examples=80)
@given(st.integers(0, 2**31), st.floats(0.0, 1.0))
def test_lower_bound_holds_at_any_parameter(seed: int, t: float) -> None:
    rng = np.random.default_rng(seed)
    body = random_motion(rng, *random_core(rng, 100.0), 100.0)
    obstacle = random_obstacle(rng, 100.0)
    gap = gap_of(body, 5.0, obstacle, 0.5)
    assert gap.lower <= gap_curve(body.at(np.array([t])), body.closed, 5.0, obstacle)[0] + 1e-9


# --- contact --------------------------------------------------------------------------------------------------------

WALL = shapely.box(-1000, -400, 1000, 0)


def test_depth_of_a_disc_in_a_wall_is_exact_and_proved() -> None:
    """Centre at 20 above, then 30 below the surface, on an arc that is deepest half way."""
    body = sliding(-200 + 20j, 400.0)
    assert holds(gap_of(body, 50.0, WALL), -30.0)
    dip = Moving(
        body.core,
        False,
        lambda t: (-200 + 400 * np.asarray(t) + 20j - 200j * np.asarray(t) * (1 - np.asarray(t)))[:, None],
        400.0,
    )
    gap = gap_of(dip, 50.0, WALL)
    assert holds(gap, -80.0) and gap.at == pytest.approx(0.5, abs=0.02)


def test_depth_of_rods_and_boxes() -> None:
    """Deepest point of a rod: its end; of a rod through a ridge: its middle; of a box: its corner."""
    ridge = shapely.Polygon([(-100, -100), (100, -100), (0, 0)])
    exact = -(2.0 + 40 / np.sqrt(2))
    assert gap_curve([[-300 - 40j, 300 - 40j]], False, 2.0, ridge)[0] == pytest.approx(exact, abs=0.01)
    assert holds(gap_of(sliding([-300 - 40j, 300 - 40j], 1.0), 2.0, ridge), exact, 0.5)
    corner = sliding(np.array([0, 50 - 50j, 100, 50 + 50j]) + 20j, 200.0, True)
    assert holds(gap_of(corner, 3.0, WALL), -33.0)


def test_contact_is_never_called_clear_nor_clear_contact() -> None:
    """A core that swallows the obstacle, one that lies within it, and one that just touches."""
    nut = shapely.box(-1, -1, 1, 1)
    big = sliding(np.array([-50, 50 - 40j, 50 + 40j]), 1.0, True)
    swallowed = gap_of(big, 0.0, nut)
    assert swallowed.upper < 0 and -1.0 - 1e-9 <= swallowed.lower <= swallowed.upper
    inside = gap_of(sliding([-10 - 100j, 10 - 100j], 5.0), 0.0, WALL)
    assert holds(inside, -100.0)
    touching = gap_of(sliding([-10.0, 10.0], 5.0), 0.0, WALL)
    assert touching.lower <= 0.0 and touching.upper == 0.0
    assert gap_of(sliding([-10 + 1j, 10 + 1j], 5.0), 0.0, WALL).lower > 0.9


def test_contact_with_what_has_no_area() -> None:
    line = shapely.LineString([(100, -50), (100, 50)])
    gap = gap_of(sliding(0.0, 300.0), 8.0, line)
    assert holds(gap, -8.0, 0.3)
    mixed = shapely.GeometryCollection([line, shapely.box(200, -5, 220, 5)])
    assert holds(gap_of(sliding(0.0, 300.0), 8.0, mixed), -13.0)


def test_contact_between_moving_bodies() -> None:
    crossing = gap_between(turning([100.0, 400.0]), sliding([200 + 50j, 300 + 50j], 0.0), 6.0, 2.0)
    assert (crossing.lower, crossing.upper) == (-8.0, -8.0)
    box = sliding(np.array([0, 50, 50 + 50j, 50j]), 0.0, True)
    disc = sliding(-100 + 20j, 200.0)
    for pair in ((disc, box, 6.0, 0.0), (box, disc, 0.0, 6.0)):
        gap = gap_between(*pair)
        assert gap.upper == pytest.approx(-26.0, abs=0.05) and gap.lower <= gap.upper


def test_eroded_obstacle_is_never_too_small() -> None:
    rng = np.random.default_rng(4)
    for _ in range(10):
        core, closed = random_core(rng, 100.0)
        if not closed:
            continue
        shape = shapes_of(core[None, :], True)[0]
        points = shapely.points(rng.uniform(-100, 100, (2000, 2)))
        points = points[shapely.intersects(shape, points)]
        depth = shapely.distance(shapely.boundary(shape), points)
        limit = 0.5 * depth.max()
        left = contact.eroded_outer(shape, limit, 0.01)
        assert np.all(shapely.intersects(left, points[depth >= limit]))
        assert not np.any(shapely.intersects(left, points[depth < limit - 0.02]))
        assert depth.max() <= contact.deepest_bound(shape)


# --- ends of a dimension line, curves, errors -----------------------------------------------------------------------


@pytest.mark.parametrize("height", [70.0, 12.0, -30.0])
def test_nearest_pair_spans_the_signed_gap(height: float) -> None:
    for core, closed in (([40 + 1j * height], False), ([40 + 1j * height, 300 + 200j], False)):
        own, other = nearest_pair(core, closed, 15.0, WALL)
        gap = gap_curve([core], closed, 15.0, WALL)[0]
        assert abs(own - other) == pytest.approx(abs(gap))
        assert own == pytest.approx(40 + 1j * (height - 15.0)) and other == pytest.approx(40.0)


def test_nearest_pair_of_touching_cores_is_the_point_of_touch() -> None:
    own, other = nearest_pair([0.0, 100.0], False, 5.0, shapely.Point(30, 0))
    assert own == other == 30.0


def test_gap_curve_of_a_disc_past_a_wall() -> None:
    heights = np.array([100.0, 30.0, 10.0, 0.0, -20.0])
    np.testing.assert_allclose(gap_curve(1j * heights[:, None], False, 30.0, WALL), heights - 30.0)


def test_obstacle_made_of_a_circumscribed_circle_keeps_the_bound_safe() -> None:
    gap = gap_of(turning(700.0), 180.0, circle_outer(1000 * np.exp(0.5j), 40.0, 0.02))
    assert gap.lower <= 80.0 and gap.upper >= 80.0 - 0.02 - 1e-6


def test_errors() -> None:
    body = turning(700.0)
    with pytest.raises(ValueError, match="empty"):
        gap_of(body, 1.0, shapely.Polygon())
    with pytest.raises(EnvelopeError, match="only known to lie above"):
        least_gap(body.at, lambda lo, hi: lo + np.inf, False, 1.0, shapely.Point(800, 300), 0.0, 1.0)


def test_an_interval_without_length() -> None:
    body = turning(700.0)
    gap = least_gap(body.at, body.slack, False, 10.0, shapely.Point(800, 0), 0.0, 0.0)
    assert gap == Gap(90.0, 90.0, 0.0)
