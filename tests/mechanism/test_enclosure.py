"""The proved slack of a chord: it bounds every dense sample, and is not much more than the truth for small cells."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.mechanism import GROUND, Mechanism, Pin, Plan, chord_slack, plan, solve, trace
from tests.mechanism.linkages import AXLE, HORN, KNEE, LUG, demo_gear, four_bar, grown, marks, slider_crank

SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=60, deadline=None, derandomize=True)
PARTS = np.linspace(0, 1, 65)


def strays(found: Plan, lo: np.ndarray, hi: np.ndarray, points: list[tuple[str, complex]]) -> np.ndarray:
    """Largest distance of the points from their chords, sampled densely in every cell: (cells,)."""
    q = lo[:, None] + PARTS * (hi - lo)[:, None]
    paths = trace(found, q.ravel(), points).reshape(len(points), len(lo), len(PARTS))
    chords = paths[..., :1] + PARTS * (paths[..., -1:] - paths[..., :1])
    return np.asarray(np.max(np.abs(paths - chords), axis=(0, 2)))


def cells(found: Plan, reach: float, width: float) -> tuple[np.ndarray, np.ndarray]:
    """Cells of that width over -reach..reach, all of whose poses close."""
    lo = np.arange(-reach, reach - width / 2, width)
    q = (lo[:, None] + PARTS * width).ravel()
    closes = np.all(solve(found, q, order=0).margin.reshape(len(lo), -1) > 0, axis=1)
    return lo[closes], lo[closes] + width


@RANDOM
@given(SEEDS, st.booleans(), st.sampled_from([0.003, 0.01, 0.03, 0.1]))
def test_the_slack_bounds_every_sample_of_random_linkages(seed: int, by_slide: bool, width: float) -> None:
    found = plan(grown(seed, groups=3, by_slide=by_slide))
    unit = 40.0 if by_slide else 1.0
    lo, hi = cells(found, 0.3 * unit, width * unit)
    points = marks(found.mechanism)
    slack = chord_slack(found, lo, hi, points)
    assert slack.shape == lo.shape
    assert np.all(strays(found, lo, hi, points) <= slack + 1e-11)


@RANDOM
@given(SEEDS, st.booleans())
def test_the_slack_is_at_most_twice_the_truth_for_small_cells(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=2, by_slide=by_slide)
    found = plan(mechanism)
    unit = 40.0 if by_slide else 1.0  # random bodies turn up to some twenty times as fast as the driver
    lo, hi = np.array([-1.5e-6, -0.5e-6, 0.5e-6]) * unit, np.array([-0.5e-6, 0.5e-6, 1.5e-6]) * unit
    points = marks(mechanism)
    truth = (hi - lo) ** 2 / 8 * np.max([np.abs(solve(found, lo).acceleration(*p)[0]) for p in points], axis=0)
    slack = chord_slack(found, lo, hi, points)
    assert np.all(slack <= 2 * truth)
    assert np.all(slack >= 0.99 * truth)


def test_the_slack_shrinks_with_the_square_of_the_cell() -> None:
    found, points = plan(demo_gear()), [("leg", AXLE), ("lower", KNEE), ("rod", HORN)]
    for start in np.linspace(-1.7, -0.1, 9):
        fine, coarse = (chord_slack(found, np.array([start]), np.array([start + h]), points)[0] for h in (1e-4, 1e-3))
        assert coarse / fine == pytest.approx(100, rel=0.1)


def test_a_point_on_the_crank_has_the_sagitta_of_its_circle() -> None:
    found, h = plan(demo_gear()), np.array([0.001, 0.01, 0.1, 1.0])
    slack = chord_slack(found, -h / 2, h / 2, [("upper", KNEE)])
    # the box of a turning vector of length 200 is at most the circumscribed square's corner
    assert np.all(slack >= 200 * (1 - np.cos(h / 2)))
    assert slack[:3] == pytest.approx(200 * h[:3] ** 2 / 8, rel=0.1)


@pytest.mark.parametrize(("width", "excess"), [(0.01, 2.0), (0.001, 1.1)])
def test_the_demo_gear_is_proved_and_tightly_over_its_whole_stroke(width: float, excess: float) -> None:
    lo = np.arange(-1.7, 0.0 - width / 2, width)
    found, points = plan(demo_gear()), [("leg", AXLE), ("leg", LUG), ("lower", KNEE), ("rod", HORN), ("barrel", HORN)]
    slack, truth = chord_slack(found, lo, lo + width, points), strays(found, lo, lo + width, points)
    assert np.all(truth <= slack)
    assert np.all(slack <= excess * truth)


@pytest.mark.parametrize(
    "mechanism", [four_bar(40, 60, 50, 100, 1.0), slider_crank(40, 30, -20, -0.3)], ids=["links", "slider"]
)
def test_nothing_is_claimed_where_a_group_opens_or_is_open(mechanism: Mechanism) -> None:
    found, grid = plan(mechanism), np.linspace(-3, 3, 121)
    open_somewhere = np.array(
        [np.any(solve(found, np.linspace(a, b, 200), order=0).margin < 0) for a, b in pairwise(grid)]
    )
    assert 10 < open_somewhere.sum() < 110
    last = mechanism.bodies[-1]
    slack = chord_slack(found, grid[:-1], grid[1:], [(mechanism.bodies[1], 0j), (last, 0j)])
    assert np.all(np.isinf(slack[open_somewhere]))
    shut = grid[solve(found, grid, order=0).margin[0] < 0]
    assert np.all(np.isinf(chord_slack(found, shut, shut, [(last, 0j)])))  # cells of no width
    assert np.isfinite(slack[~open_somewhere]).sum() > 10
    upstream = chord_slack(found, grid[:-1], grid[1:], [("crank", 40 + 0j)])
    assert np.all(np.isfinite(upstream))


def test_a_cell_of_no_width_and_a_point_on_the_ground_have_no_slack() -> None:
    found, at = plan(demo_gear()), np.array([-0.5])
    assert chord_slack(found, at, at, [("leg", AXLE)]) == pytest.approx([0.0], abs=0)
    assert chord_slack(found, at, at + 0.1, [(GROUND, 3j)]) == pytest.approx([0.0], abs=0)


def test_the_slack_of_many_designs_is_that_of_the_worst() -> None:
    shifts = np.array([0.0, 5.0, -5.0])

    def moved(shift: complex | np.ndarray) -> Plan:
        joints = tuple(Pin(j.name, j.a, j.b, j.at + shift) if j.name == "knee" else j for j in demo_gear().joints)
        return plan(Mechanism(joints, "upper pin"))

    lo, hi = np.array([-1.0, -0.5]), np.array([-0.99, -0.49])
    each = [chord_slack(moved(s), lo, hi, [("leg", AXLE)]) for s in shifts]
    assert chord_slack(moved(shifts), lo, hi, [("leg", AXLE)]) == pytest.approx(np.max(each, axis=0), rel=1e-12)
