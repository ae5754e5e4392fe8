"""Swept regions: closed forms, never a pose outside, and the engine's traps."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.errors import MechanismError
from linkage.plane import outer
from linkage.plane.envelope import (
    EnvelopeError,
    buffer_outer,
    refine,
    slack_target,
    sweep_cells,
    sweep_turning,
    union_outer,
)
from linkage.plane.outlines import shapes_of
from linkage.plane.ruled import cut_quads, edges_of, hulls
from tests.plane.motions import random_core, random_motion

TOL = 0.1
QUARTER = np.radians(95.0)


def turned_cells(core: Any, closed: bool, span: float, radius: float, tol: float) -> Any:
    """The general method on a plain turn about 0, whose chord error is known: r (1 - cos(h / 2))."""
    core = np.asarray(core, dtype=complex)
    edges, slack = refine(lambda lo, hi: np.abs(core).max() * (1 - np.cos((hi - lo) / 2)), 0.0, span, slack_target(tol))
    return sweep_cells(core * np.exp(1j * edges)[:, None], closed, slack, radius, tol)


def both_methods(core: Any, closed: bool, span: float, radius: float, tol: float) -> list[Any]:
    return [sweep_turning(core, closed, 0.0, 0.0, span, radius, tol), turned_cells(core, closed, span, radius, tol)]


def farthest(region: Any, truth: Any) -> float:
    """Greatest distance of the region's border from a shape within the truth."""
    border = shapely.get_coordinates(shapely.segmentize(shapely.boundary(region), 1.0))
    shapely.prepare(truth)
    return float(shapely.distance(shapely.points(border), truth).max())


def reaches(region: Any, truth: Any, limit: float) -> bool:
    """Is the region's border nowhere farther than `limit` from a shape within the truth?"""
    border = shapely.get_coordinates(shapely.segmentize(shapely.boundary(region), 2.0))
    shapely.prepare(truth)
    return bool(np.all(shapely.dwithin(truth, shapely.points(border), limit)))


@outer.QUIET
def outside(region: Any, shapes: Any, radius: float) -> int:
    """How many shapes, grown by a disc, are not within the region."""
    border = shapely.boundary(region)
    shapely.prepare([region, border])
    bad = ~shapely.covers(region, shapes)
    if radius > 0:
        bad |= shapely.dwithin(border, shapes, radius)
    return int(bad.sum())


# --- closed forms ---------------------------------------------------------------------------------------------------


def test_disc_on_an_arc() -> None:
    path, rho = 1200.0, 180.0
    exact = 2 * rho * path * QUARTER + np.pi * rho**2
    angles = np.linspace(0, QUARTER, 5001)
    for region in both_methods([path], False, QUARTER, rho, TOL):
        assert region.area > exact
        assert (region.area - exact) / region.length < 0.06
        assert outside(region, shapes_of(path * np.exp(1j * angles)[:, None], False), rho) == 0
        border = shapely.get_coordinates(shapely.segmentize(region.exterior, 1.0)) @ [1, 1j]
        nearest = path * np.exp(1j * np.clip(np.angle(border), 0, QUARTER))
        assert np.abs(border - nearest).max() < rho + TOL


def test_rectangle_about_a_pivot() -> None:
    x0, x1, b = 300.0, 1300.0, 120.0
    core = [x0 - 1j * b, x1 - 1j * b, x1 + 1j * b, x0 + 1j * b]
    exact = 2 * b * (x1 - x0) + QUARTER * (x1**2 + b**2 - x0**2) / 2 + (x1**2 + b**2) * np.arctan(b / x1) - x1 * b
    for region in both_methods(core, True, QUARTER, 0.0, TOL):
        assert region.area > exact
        assert (region.area - exact) / region.length < 0.05


def test_ladder_sliding_down_a_wall_stays_under_the_astroid() -> None:
    length = 1000.0
    edges, slack = refine(lambda lo, hi: length * (1 - np.cos((hi - lo) / 2)), 0.0, np.pi / 2, slack_target(TOL))
    core = np.stack([length * np.cos(edges), 1j * length * np.sin(edges)], axis=1)
    region = sweep_cells(core, False, slack, 0.0, TOL)
    exact = 3 * np.pi * length**2 / 32
    assert 0.0 < (region.area - exact) / region.length < 0.05
    t = np.linspace(0, np.pi / 2, 20001)
    # Chords of the astroid run outside its region by up to 1e-5 mm: stay under them.
    curve = length * (np.cos(t) ** 3 + 1j * np.sin(t) ** 3) * (1 - 1e-6)
    truth = shapely.Polygon(np.c_[np.append(curve, 0).real, np.append(curve, 0).imag])
    assert region.covers(truth)
    assert reaches(region, truth, TOL)


def test_both_methods_agree_on_a_ragged_outline() -> None:
    rng = np.random.default_rng(0)
    h = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    r = 1 + 0.25 * np.sin(3 * h) + 0.1 * rng.normal(size=60)
    core = 700 + 600 * r * np.cos(h) + 150j * r * np.sin(h)
    fine = sweep_turning(core, True, 0.0, 0.0, QUARTER, 0.0, TOL / 100)
    for region in both_methods(core, True, QUARTER, 0.0, TOL):
        assert region.covers(fine)
        assert reaches(region, fine, TOL)


@pytest.mark.parametrize("span", [np.pi, 2 * np.pi, 7.0])
def test_long_turns(span: float) -> None:
    rod = sweep_turning([300.0, 500.0], False, 0.0, 0.0, span, 10.0, TOL)
    half = min(span, 2 * np.pi) / 2
    for radius in (290.1, 400.0, 509.9):
        assert rod.covers(shapely.Point(radius * np.cos(half), radius * np.sin(half)))
    assert not rod.covers(shapely.Point(289.0 * np.cos(half), 289.0 * np.sin(half)))
    if span > 6.0:
        assert rod.area == pytest.approx(np.pi * (510.0**2 - 290.0**2), abs=TOL * rod.length)


def test_turning_from_hi_to_lo_and_about_a_pivot_off_the_origin() -> None:
    core, pivot = np.array([1 + 1j, 5 + 2j, 3 + 6j]) * 100, 40 - 30j
    there = sweep_turning(core, True, pivot, -0.3, 0.9, 5.0, TOL)
    back = sweep_turning(core[::-1], True, pivot, 0.9, -0.3, 5.0, TOL)
    assert there.symmetric_difference(back).area < 1e-6
    poses = pivot + (core - pivot) * np.exp(1j * np.linspace(-0.3, 0.9, 500))[:, None]
    assert outside(there, shapes_of(poses, True), 5.0) == 0


# --- never a pose outside -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_no_exact_pose_of_a_random_motion_is_outside(seed: int) -> None:
    """8 x 25 motions x 1000 poses = 200 000 exact poses at random parameters."""
    rng = np.random.default_rng(seed)
    missed = 0
    for _ in range(25):
        size = 10 ** rng.uniform(1.5, 3)
        body = random_motion(rng, *random_core(rng, size), size)
        tol, radius = float(rng.choice([0.1, 0.5, 2.0])), size * float(rng.choice([0, 0.03, 0.3]))
        edges, slack = refine(body.slack, 0.0, 1.0, slack_target(tol))
        region = sweep_cells(body.at(edges), body.closed, slack, radius, tol)
        missed += outside(region, shapes_of(body.at(rng.uniform(0, 1, 1000)), body.closed), radius)
    assert missed == 0


@pytest.mark.parametrize("seed", range(4))
def test_excess_stays_within_the_tolerance(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    for _ in range(4):
        size = 10 ** rng.uniform(1.5, 2.2)
        body = random_motion(rng, *random_core(rng, size), size)
        radius = size * float(rng.choice([0, 0.3]))
        edges, slack = refine(body.slack, 0.0, 1.0, slack_target(TOL))
        region = sweep_cells(body.at(edges), body.closed, slack, radius, TOL)
        finer, fine_slack = refine(body.slack, 0.0, 1.0, slack_target(TOL / 10))
        truth = sweep_cells(body.at(finer), body.closed, fine_slack, radius, TOL / 10)
        assert reaches(region, truth, TOL)


def test_strut_that_telescopes_between_a_fixed_and_a_moving_point() -> None:
    """Vertices need not move rigidly."""

    def at(t: Any) -> Any:
        return np.stack([np.zeros_like(t) + 50j, 400 * np.exp(1j * (0.4 + 1.3 * t))], axis=1)

    edges, slack = refine(lambda lo, hi: 400 * (1 - np.cos(1.3 * (hi - lo) / 2)), 0.0, 1.0, slack_target(TOL))
    region = sweep_cells(at(edges), False, slack, 12.0, TOL)
    poses = shapes_of(at(np.random.default_rng(3).uniform(0, 1, 20_000)), False)
    assert outside(region, poses, 12.0) == 0
    truth = sweep_cells(at(np.linspace(0, 1, 1001)), False, np.zeros(1000), 0.0, TOL / 100)
    assert reaches(region, truth, 12.0 + TOL)


def test_motions_that_rest_return_or_slide_along_themselves() -> None:
    box = np.array([0, 300, 300 + 40j, 40j], dtype=complex)
    rest = sweep_cells(np.tile(box, (6, 1)), True, np.zeros(5), 0.0, TOL)
    assert rest.covers(shapely.box(0, 0, 300, 40)) and reaches(rest, shapely.box(0, 0, 300, 40), TOL)
    single = sweep_cells(box[None, :], True, np.zeros(0), 3.0, TOL)
    assert single.covers(shapely.box(-3, 0, 303, 40))
    way = np.concatenate([np.linspace(0, 200, 7), np.linspace(200, 0, 5)])
    slid = sweep_cells(box + way[:, None], True, np.zeros(11), 0.0, TOL)
    assert slid.covers(shapely.box(0, 0, 500, 40)) and reaches(slid, shapely.box(0, 0, 500, 40), TOL)
    rod = np.array([0, 100], dtype=complex) + way[:, None]
    line = sweep_cells(rod, False, np.zeros(11), 0.0, TOL)
    assert line.covers(shapely.LineString([(0, 0), (300, 0)]))
    assert reaches(line, shapely.LineString([(0, 0), (300, 0)]), TOL)
    point = sweep_cells(np.zeros((4, 1), dtype=complex), False, np.zeros(3), 8.0, TOL)
    assert point.covers(shapely.Point(0, 0).buffer(8.0)) and point.area < np.pi * (8 + TOL) ** 2


coordinate = st.floats(-300.0, 300.0, allow_subnormal=False)
vertex = st.builds(complex, coordinate, coordinate)


@settings(derandomize=True, deadline=None, max_examples=30)
@given(
    st.integers(2, 4).flatmap(lambda m: st.lists(st.lists(vertex, min_size=m, max_size=m), min_size=2, max_size=7)),
    st.floats(0.0, 20.0),
)
def test_any_chain_on_straight_ways_is_held(rows: list[list[complex]], radius: float) -> None:
    """With slack 0 the truth is the straight interpolation itself, however wildly the vertices go."""
    path = np.array(rows)
    region = sweep_cells(path, False, np.zeros(len(rows) - 1), radius, TOL)
    cell, part = np.divmod(np.linspace(0, len(rows) - 1, 61)[:-1], 1)
    cell = cell.astype(int)
    between = (1 - part)[:, None] * path[cell] + part[:, None] * path[cell + 1]
    assert outside(region, shapes_of(between, False), radius) == 0


@settings(derandomize=True, deadline=None, max_examples=30)
@given(
    st.lists(st.lists(st.floats(5.0, 300.0), min_size=7, max_size=7), min_size=2, max_size=6),
    st.lists(vertex, min_size=6, max_size=6),
)
def test_any_filled_outline_that_changes_its_shape_is_held(radii: list[list[float]], shifts: list[complex]) -> None:
    """A star whose spokes stretch while it drifts stays simple; nothing of it moves rigidly."""
    path = np.array(radii) * np.exp(2j * np.pi * np.arange(7) / 7) + np.array(shifts)[: len(radii), None]
    region = sweep_cells(path[:, ::-1], True, np.zeros(len(radii) - 1), 0.0, TOL)
    cell, part = np.divmod(np.linspace(0, len(radii) - 1, 97)[:-1], 1)
    cell = cell.astype(int)
    between = (1 - part)[:, None] * path[cell] + part[:, None] * path[cell + 1]
    assert outside(region, shapes_of(between, True), 0.0) == 0


@settings(derandomize=True, deadline=None, max_examples=30)
@given(st.integers(0, 2**31), st.floats(-3.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 40.0))
def test_any_turning_body_is_held(seed: int, lo: float, span: float, radius: float) -> None:
    rng = np.random.default_rng(seed)
    core, closed = random_core(rng, 200.0)
    core, pivot = core + 200.0 * rng.normal(), complex(rng.normal(), rng.normal()) * 100
    region = sweep_turning(core, closed, pivot, lo, lo + span, radius, TOL)
    poses = pivot + (core - pivot) * np.exp(1j * (lo + span * rng.uniform(0, 1, 40)))[:, None]
    assert outside(region, shapes_of(poses, closed), radius) == 0


def test_wrong_input_is_named() -> None:
    with pytest.raises(EnvelopeError, match="finite"):
        sweep_cells(np.zeros((2, 2)), False, [np.inf], 1.0, TOL)
    with pytest.raises(EnvelopeError, match="finite"):
        sweep_cells([[0, 1], [0, np.nan]], False, [0.0], 1.0, TOL)
    bow_tie = [0, 100 + 100j, 100, 100j]
    with pytest.raises(EnvelopeError, match="not simple"):
        sweep_turning(bow_tie, True, 0.0, 0.0, 1.0, 0.0, TOL)
    assert issubclass(EnvelopeError, ArithmeticError) and issubclass(EnvelopeError, MechanismError)


# --- traps of the geometry engine -----------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [0.03, 5.0, 80.0, 400.0])
@pytest.mark.parametrize("tol", [0.01, 0.1, 1.0])
def test_the_engine_grows_too_little_and_buffer_outer_does_not(radius: float, tol: float) -> None:
    line = shapely.LineString([(0, 0), (300, 40), (310, 250)])
    raw = shapely.buffer(line, radius, quad_segs=8)
    assert shapely.distance(shapely.boundary(raw), line) < radius * 0.999
    grown = buffer_outer(line, radius, tol)
    assert shapely.distance(shapely.boundary(grown), line) > radius
    assert reaches(grown, line, radius + tol)


@pytest.mark.parametrize("seed", [31, 101, 261, 394])
def test_the_engine_fills_shallow_hollows_and_buffer_outer_does_not(seed: int) -> None:
    """Before it grows a shape the engine drops hollows up to 1 % of the radius deep."""
    rng = np.random.default_rng(seed)
    angles = np.sort(rng.uniform(0, 2 * np.pi, 30))
    shape = shapes_of(100 * (1 + rng.normal(size=(1, 30)) * 0.05) * np.exp(1j * angles), True)[0]
    assert farthest(shapely.buffer(shape, 150.0, quad_segs=64), shape) > 150.15
    grown = buffer_outer(shape, 150.0, 0.05)
    assert shapely.distance(shapely.boundary(grown), shape) > 150.0
    assert reaches(grown, shape, 150.05)


def test_growing_edge_by_edge_is_certified_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(outer, "_is_tight", lambda *_: False)
    shape = shapely.Polygon([(0, 0), (200, 0), (200, 200), (100, 60), (0, 200)], [[(20, 10), (20, 30), (60, 30)]])
    both = shapely.GeometryCollection([shape, shapely.LineString([(300, 0), (400, 50)]), shapely.Point(0, 400)])
    grown = buffer_outer(both, 30.0, TOL)
    assert shapely.distance(shapely.boundary(grown), both) > 30.0
    assert reaches(grown, both, 30.0 + TOL)


def test_false_holes_are_filled_and_true_ones_kept() -> None:
    line = shapely.LineString([(0, 0), (400, 0), (400, 400), (0, 400), (0, 1)])
    grown = buffer_outer(line, 50.0, TOL)
    assert len(grown.interiors) == 1
    speck = grown.difference(shapely.Point(200, 0).buffer(0.02))
    assert len(speck.interiors) == 2
    mended = outer._without_false_holes(speck, line, 50.0)
    assert len(mended.interiors) == 1 and mended.equals(grown)


def raw_cells(seed: int) -> Any:
    """Thousands of thin overlapping hulls: at seeds 308, 318 and 392 the engine's union loses 10 to 100 mm2."""
    rng = np.random.default_rng(seed)
    m = int(rng.integers(4, 13))
    core = 300 * np.exp(1j * np.sort(rng.uniform(0, 2 * np.pi, m))) * rng.uniform(0.15, 1, m)
    n = int(rng.integers(60, 300))
    t = np.linspace(0, 1, n)
    turn = rng.normal() * np.sin(rng.uniform(0.5, 5) * t + rng.uniform(0, 6))
    path = 100 * (rng.normal() + 1j * rng.normal()) * np.sin(rng.uniform(0.5, 5) * t)
    a, b = edges_of(path[:, None] + np.exp(1j * turn)[:, None] * core, True)
    _, quads = cut_quads(a[:-1].ravel(), b[:-1].ravel(), a[1:].ravel(), b[1:].ravel(), False)
    made = hulls(quads)
    return made[shapely.get_dimensions(made) == 2]


@pytest.mark.parametrize("seed", [392])
def test_union_outer_loses_nothing_where_the_engine_does(seed: int) -> None:
    cells = raw_cells(seed)
    region = union_outer(cells)
    assert bool(np.all(shapely.covers(region, cells)))


def test_a_union_that_loses_a_member_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    boxes = [shapely.box(k, 0, k + 2, 3) for k in range(5)] + [shapely.box(9, 9, 9.5, 9.0001)]
    honest = shapely.union_all

    def lossy(members: Any, grid_size: float | None = None) -> Any:
        return honest(members[:-1]) if grid_size is None else honest(members, grid_size=grid_size)

    monkeypatch.setattr(shapely, "union_all", lossy)
    assert union_outer(boxes).covers(boxes[-1])
    swept = outer.cover_outer(boxes, 0.01, TOL)
    assert all(swept.covers(shapely.buffer(b, 0.01)) for b in boxes)
    monkeypatch.setattr(shapely, "union_all", lambda members, grid_size=None: honest(members[:-1]))
    with pytest.raises(EnvelopeError, match="loses area"):
        union_outer(boxes)
    with pytest.raises(EnvelopeError, match="cannot be certified"):
        outer.cover_outer(boxes, 0.01, TOL)


def test_union_of_nothing_and_of_empty_shapes() -> None:
    assert union_outer([]).is_empty
    assert union_outer([shapely.Polygon(), shapely.box(0, 0, 1, 1)]).covers(shapely.box(0, 0, 1, 1))
    assert buffer_outer(shapely.box(0, 0, 1, 1), 0.0, TOL).equals(shapely.box(0, 0, 1, 1))


# --- refine ---------------------------------------------------------------------------------------------------------


def test_refine_reaches_its_target_everywhere_and_cuts_only_where_needed() -> None:
    def bound(lo: Any, hi: Any) -> Any:
        return np.where(hi - lo > 0.6, np.inf, 50 * (hi - lo) ** 2 * np.exp(4 * hi))

    edges, slack = refine(bound, 0.0, 1.0, 0.05)
    assert edges[0] == 0.0 and edges[-1] == 1.0 and np.all(np.diff(edges) > 0)
    assert slack.max() <= 0.05
    np.testing.assert_array_equal(slack, bound(edges[:-1], edges[1:]))
    least = np.exp(2) * np.sqrt(50 / 0.05) / 2
    assert len(slack) < 2 * least
    still, none = refine(lambda lo, hi: 0 * lo, 2.0, 2.0, 0.05)
    assert list(still) == [2.0, 2.0] and list(none) == [0.0]


def test_refine_names_the_place_where_it_gives_up() -> None:
    def blind_at_a_third(lo: Any, hi: Any) -> Any:
        return np.where((lo <= 1 / 3) & (hi >= 1 / 3), np.nan, 0.0)

    with pytest.raises(EnvelopeError, match=r"between 0\.3333\d+ and 0\.3333\d+ the bound is still inf mm"):
        refine(blind_at_a_third, 0.0, 1.0, 0.05)
    with pytest.raises(EnvelopeError, match="at most 100"):
        refine(lambda lo, hi: (hi - lo) * 1000, 0.0, 1.0, 0.05, max_cells=100)
