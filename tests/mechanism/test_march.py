"""Bodies without a closed form: followed on the branch on which they are drawn, and on no other."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.mechanism import GROUND, Mechanism, Pin, Plan, chord_slack, march, plan, solve
from linkage.mechanism.march import SHORTEST
from tests.mechanism.linkages import demo_gear, four_bar, grown, marks, random_triad, scotch_yoke, slider_crank, triad


def without_closed_forms(mechanism: Mechanism) -> Plan:
    """The same mechanism with every two-link group left to Newton."""
    known = plan(mechanism)
    driven = mechanism.joint(mechanism.driver).b
    return Plan(mechanism, known.groups[:1], tuple(b for b in mechanism.bodies if b != driven))


@pytest.mark.parametrize(
    ("mechanism", "q"),
    [
        pytest.param(four_bar(40, 120, 80, 100, 1.0), np.linspace(-8, 8, 60), id="full turns, open"),
        pytest.param(four_bar(40, 120, 80, 100, 1.0, -1), np.linspace(-8, 8, 60), id="full turns, crossed"),
        pytest.param(slider_crank(40, 120, -20, 2.0), np.linspace(-8, 8, 60), id="slider"),
        pytest.param(four_bar(40, 60, 50, 100, 1.0), np.linspace(-3, 3, 60), id="opens within a turn"),
        pytest.param(demo_gear(), np.linspace(-2.4, 1.0, 60), id="demo gear"),
    ],
)
def test_the_march_ends_where_the_closed_form_opens_and_agrees_until_there(mechanism: Mechanism, q: np.ndarray) -> None:
    exact, marched = solve(plan(mechanism), q), solve(without_closed_forms(mechanism), q)
    opened = exact.margin[0] < 0
    inside = np.cumsum(opened[q >= 0]) == 0, np.cumsum(opened[q < 0][::-1])[::-1] == 0
    reached = np.concatenate([inside[1], inside[0]])  # beyond an opening the march does not jump to closing poses
    assert np.array_equal(marched.margin[0] > 0, reached)
    for body in mechanism.bodies[1:]:
        assert marched.turn(body)[0, reached] == pytest.approx(exact.turn(body)[0, reached], abs=1e-10)
        assert np.all(np.isnan(marched.turn(body)[0, ~reached]))
        assert np.all(np.isnan(marched.spin_rate(body)[0, ~reached]))


def test_a_fold_that_is_all_but_flat_is_followed_round_its_corner() -> None:
    """A parallelogram a micron short of folding flat: the other branch is the smoother way on, and a wrong one."""
    mechanism, q = four_bar(40, 100, 40.001, 100, 1.0), np.linspace(-8, 8, 400)
    exact, marched = solve(plan(mechanism), q, order=0), solve(without_closed_forms(mechanism), q, order=0)
    assert 0 < np.min(exact.margin) < 2e-3
    assert marched.turn("rocker") == pytest.approx(exact.turn("rocker"), abs=1e-9)


def test_nothing_is_found_beyond_a_jam_however_many_poses_are_tried() -> None:
    """Further on the links could close again, but they cannot get there."""
    q = np.linspace(-20, 20, 40001)
    moves = np.flatnonzero(solve(without_closed_forms(four_bar(40, 60, 50, 100, 1.0)), q, order=0).margin[0] > 0)
    assert np.all(np.diff(moves) == 1)
    assert len(moves) == 3267


def test_a_jam_beside_another_assembly_is_not_jumped() -> None:
    q = np.linspace(-1.5, 1.5, 241)
    turn = solve(plan(random_triad(46)), q, order=0).turn("plate")[0]
    moves = np.flatnonzero(np.isfinite(turn))
    assert np.array_equal(moves, np.arange(moves[0], 241))
    assert moves[0] > 0
    assert np.max(np.abs(np.angle(turn[moves[1:]] / turn[moves[:-1]]))) < 0.2


@pytest.mark.parametrize("seed", [1, 45, 46])
def test_the_answer_does_not_depend_on_the_stride(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    q = np.linspace(-1.5, 1.5, 61)  # seed 45 has a pose just before a jam
    usual = solve(plan(random_triad(seed)), q, order=0).point("plate", 0j)
    monkeypatch.setattr(march, "STRIDE", 0.02)
    fine = solve(plan(random_triad(seed)), q, order=0).point("plate", 0j)
    assert usual == pytest.approx(fine, abs=1e-8, nan_ok=True)


def test_the_jam_is_found_to_the_shortest_step() -> None:
    mechanism = four_bar(40, 60, 50, 100, 1.0)
    limit = np.arccos((100**2 + 40**2 - 110**2) / (2 * 100 * 40)) - 1.0
    near = limit + np.array([-1e-8, -3 * SHORTEST, 3 * SHORTEST, 1e-8])
    assert (solve(without_closed_forms(mechanism), near, order=0).margin[0] > 0).tolist() == [True, True, False, False]


@pytest.mark.parametrize("mechanism", [triad(), scotch_yoke(40, 0.5)], ids=["plate on three links", "yoke"])
def test_a_pose_does_not_depend_on_the_others_asked_for(mechanism: Mechanism) -> None:
    q = np.array([0.21, -0.28, 0.05, -0.11, 0.0, 0.13])
    together, backwards = solve(plan(mechanism), q), solve(plan(mechanism), q[::-1])
    assert np.all(together.margin > 0)
    for i, x in enumerate(q):
        alone = solve(plan(mechanism), x)
        for body, z in marks(mechanism):
            assert alone.point(body, z)[0, 0] == pytest.approx(together.point(body, z)[0, i], abs=1e-10)
            assert backwards.point(body, z)[0, -1 - i] == pytest.approx(together.point(body, z)[0, i], abs=1e-10)


def test_a_plate_on_three_links_keeps_its_link_lengths_and_jams_for_good() -> None:
    mechanism, q = triad(), np.linspace(-1.5, 1.5, 301)
    found = solve(plan(mechanism), q)
    moves = found.margin[0] > 0
    assert 20 < moves.sum() < 301
    assert np.all(np.diff(np.flatnonzero(moves)) == 1)
    assert found.margin[0, ~moves] == pytest.approx(-np.inf)
    assert found.tightest[0].startswith("loose: ")
    for body in ("first link", "second link", "third link"):
        one, two = (complex(j.at) for j in mechanism.joints if body in (j.a, j.b))
        length = np.abs(found.point(body, one) - found.point(body, two))[0, moves]
        assert length == pytest.approx(np.full(moves.sum(), abs(one - two)), abs=1e-9)
    for j in mechanism.joints:
        gap = found.point(j.a, j.at) - found.point(j.b, j.at)
        assert np.abs(gap[0, moves]) == pytest.approx(np.zeros(moves.sum()), abs=1e-9)


def test_a_plate_on_three_links_moves_without_jumps() -> None:
    q = np.linspace(-0.28, 0.21, 400)
    found = solve(plan(triad()), q)
    spin = found.spin("plate")[0]
    turned = np.diff(found.angle("plate")[0])
    assert turned == pytest.approx(0.5 * (spin[1:] + spin[:-1]) * np.diff(q), abs=2e-5)


def test_a_yoke_moves_as_the_cosine_of_its_crank() -> None:
    q = np.linspace(-7, 7, 90)
    found = solve(plan(scotch_yoke(40, 0.5)), q)
    start = 40 * np.exp(0.5j)
    assert found.point("yoke", start)[0] == pytest.approx(40 * np.cos(q + 0.5) + 1j * start.imag, abs=1e-10)
    assert found.point("block", start)[0] == pytest.approx(40 * np.exp(1j * (q + 0.5)), abs=1e-10)
    assert found.velocity("yoke", 9j)[0] == pytest.approx(-40 * np.sin(q + 0.5), abs=1e-9)
    assert found.acceleration("yoke", 9j)[0] == pytest.approx(-40 * np.cos(q + 0.5), abs=1e-9)


def test_loose_designs_are_marched_together_as_one_by_one() -> None:
    shifts = np.array([0.0, 4.0, -3 + 2j])

    def moved(shift: complex | np.ndarray) -> Mechanism:
        joints = tuple(Pin(j.name, j.a, j.b, j.at + shift) if j.name == "third root" else j for j in triad().joints)
        return Mechanism(joints, "pivot")

    q = np.linspace(-1.0, 1.0, 41)
    many = solve(plan(moved(shifts)), q)
    assert many.margin.shape == (3, 41)
    for row, shift in enumerate(shifts):
        one = solve(plan(moved(shift)), q)
        assert np.array_equal(many.margin[row], one.margin[0])
        assert many.point("plate", 1j)[row] == pytest.approx(one.point("plate", 1j)[0], abs=1e-9, nan_ok=True)
        assert many.spin("plate")[row] == pytest.approx(one.spin("plate")[0], rel=1e-7, nan_ok=True)


def test_a_linkage_drawn_in_a_dead_position_has_no_branch_to_follow() -> None:
    straight = Mechanism(
        (
            Pin("o", GROUND, "crank", 0j),
            Pin("a", "crank", "coupler", 40 + 0j),
            Pin("b", "coupler", "rocker", 100 + 0j),
            Pin("c", GROUND, "rocker", 150 + 0j),
        ),
        "o",
    )
    found = solve(without_closed_forms(straight), np.array([-0.1, 0.0, 0.1]), order=0)
    assert found.margin[0].tolist() == [-np.inf, -np.inf, -np.inf]
    assert np.all(np.isnan(found.turn("rocker")))


def test_no_proof_is_claimed_for_bodies_without_a_closed_form() -> None:
    cell = np.array([0.0]), np.array([0.01])
    with pytest.raises(ValueError, match=r"no enclosure for bodies without a closed form: .*plate"):
        chord_slack(plan(triad()), *cell, [("plate", 1j)])
    assert chord_slack(plan(triad()), *cell, [("crank", 10 + 10j)])[0] < 1e-3


def test_many_poses_of_a_loose_linkage_are_solved_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """The march is as long as the stroke, not as the list of poses."""
    calls = []
    close = march.newton.close
    monkeypatch.setattr(march.newton, "close", lambda *a: calls.append(a) or close(*a))
    solve(plan(scotch_yoke(40, 0.5)), np.linspace(0, 1, 5000), order=0)
    assert len(calls) < 30


@pytest.mark.parametrize("seed", range(4))
def test_random_linkages_marched(seed: int) -> None:
    mechanism, q = grown(seed, groups=3), np.linspace(-0.2, 0.2, 15)
    exact, marched = solve(plan(mechanism), q), solve(without_closed_forms(mechanism), q)
    both = (marched.margin[0] > 0) & (exact.margin[0] > 0)
    assert both.sum() >= 5
    for body, z in marks(mechanism):
        assert marched.point(body, z)[0, both] == pytest.approx(exact.point(body, z)[0, both], abs=1e-9)
