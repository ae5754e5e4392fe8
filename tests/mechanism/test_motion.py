"""Motion over arrays of designs and poses: shapes, margins, angles, traces."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.mechanism import GROUND, Mechanism, Pin, Slide, motion, plan, solve, trace
from tests.mechanism.linkages import (
    ACTUATOR_ROOT,
    AXLE,
    HORN,
    KNEE,
    LUG,
    SPRING_PIN,
    SPRING_ROOT,
    TRUNNION,
    UPPER_PIN,
    demo_gear,
    four_bar,
    grown,
    marks,
    triad,
)

Q = np.linspace(0, 1.2, 25)


def jammed_chain() -> Mechanism:
    """A four-bar that opens within a turn, and a second pair of links on its rocker."""
    return Mechanism(
        (
            Pin("o", GROUND, "crank", 0j),
            Pin("a", "crank", "coupler", 20 + 0j),
            Pin("b", "coupler", "rocker", 60 + 20j),
            Pin("c", GROUND, "rocker", 70 + 0j),
            Pin("d", "rocker", "outer", 80 + 30j),
            Pin("e", "outer", "arm", 100 + 40j),
            Pin("f", GROUND, "arm", 110 + 0j),
        ),
        "o",
    )


def test_the_margin_is_the_signed_room_of_the_links() -> None:
    q = np.linspace(-3, 3, 121)
    found = solve(plan(four_bar(40, 60, 50, 100, 1.0)), q - 1.0)
    reach = np.abs(100 - 40 * np.exp(1j * q))
    room = np.minimum(60 + 50 - reach, reach - 10)
    assert found.margin[0] == pytest.approx(room, abs=1e-9)
    assert np.array_equal(np.isnan(found.turn("rocker")[0]), room < 0)
    assert 0 < np.sum(room < 0) < 121
    assert np.array_equal(np.isnan(found.spin_rate("coupler")[0]), room < 0)


def test_the_margin_stays_signed_behind_a_group_that_has_opened() -> None:
    found = solve(plan(jammed_chain()), np.linspace(-3.1, 3.1, 61))
    base = solve(plan(Mechanism(jammed_chain().joints[:4], "o")), np.linspace(-3.1, 3.1, 61))
    opened = base.margin < 0
    assert 0 < opened.sum() < 61
    assert found.margin[opened] == pytest.approx(base.margin[opened], abs=0)
    assert np.all(np.isnan(found.turn("arm")[opened]))
    assert found.tightest == ("coupler - rocker", "outer - arm")
    assert not np.any(np.isnan(found.margin))


def test_a_group_that_opens_does_not_touch_those_that_do_not_hang_on_it() -> None:
    joints = (
        Pin("root", GROUND, "barrel", 20 + 80j),
        Slide("slide", "barrel", "rod", 20 + 0j, 1j),
        Pin("end", "crank", "rod", 20 + 0j),
    )
    found = solve(plan(Mechanism(jammed_chain().joints + joints, "o")), np.linspace(-3.1, 3.1, 61))
    assert np.any(np.isnan(found.turn("rocker")))
    assert not np.any(np.isnan(found.turn("rod")))
    assert not np.any(np.isnan(found.turn("crank")))


def test_the_angle_is_counted_from_the_drawn_position_and_through_full_turns() -> None:
    found = plan(four_bar(40, 120, 80, 100, 1.0))
    for q in (np.linspace(0, 20, 300), np.linspace(-9, 9, 301), np.linspace(-9, 0, 200), np.linspace(12, 0, 200)):
        assert solve(found, q).angle("crank")[0] == pytest.approx(q, abs=1e-12)


def test_the_angle_passes_over_poses_that_do_not_close() -> None:
    q = np.linspace(-3.1, 3.1, 201)
    bar = plan(Mechanism(jammed_chain().joints[:4], "o"))
    found = solve(bar, q)
    closes = found.margin[0] > 0
    assert not closes[0]
    assert not closes[-1]
    assert np.array_equal(np.isnan(found.angle("rocker")[0]), ~closes)
    one_by_one = np.array([float(np.angle(solve(bar, x).turn("rocker")[0, 0])) for x in q[closes]])
    assert found.angle("rocker")[0, closes] == pytest.approx(one_by_one, abs=1e-12)


VARIED = np.array([0.0, 3.0, -2.0 + 1j])


@pytest.mark.parametrize("name", ["upper pin", "knee", "lug", "trunnion", "actuator root", "actuator pin", "actuator"])
def test_many_designs_at_once_are_the_designs_one_by_one(name: str) -> None:
    """Each joint in turn is drawn for three designs, the others for one that all share."""

    def varied(shift: complex | np.ndarray) -> Mechanism:
        joints = [
            j
            if j.name != name
            else (
                Pin(j.name, j.a, j.b, j.at + shift)
                if isinstance(j, Pin)
                else Slide(j.name, j.a, j.b, j.at, j.along + shift)
            )
            for j in demo_gear().joints
        ]
        return Mechanism(tuple(joints), "upper pin")

    many = solve(plan(varied(VARIED)), -Q)
    assert many.margin.shape == (3, 25)
    for row, shift in enumerate(VARIED):
        one = solve(plan(varied(shift)), -Q)
        assert many.margin[row] == pytest.approx(one.margin[0], abs=1e-12)
        for body in demo_gear().bodies:
            assert many.acceleration(body, AXLE).shape == (3, 25)
            assert many.turn(body)[row] == pytest.approx(one.turn(body)[0], abs=1e-12)
            assert many.velocity(body, AXLE)[row] == pytest.approx(one.velocity(body, AXLE)[0], abs=1e-9)
            assert many.acceleration(body, AXLE)[row] == pytest.approx(one.acceleration(body, AXLE)[0], abs=1e-8)
            assert many.spin(body)[row] == pytest.approx(one.spin(body)[0], abs=1e-12)
            assert many.spin_rate(body)[row] == pytest.approx(one.spin_rate(body)[0], abs=1e-11)
            assert many.angle(body).shape == many.spin(body).shape == (3, 25)


def test_every_design_may_have_driven_values_of_its_own() -> None:
    own = np.stack([Q, -Q, 0.5 * Q])
    many = solve(plan(demo_gear()), -own)
    assert many.margin.shape == (3, 25)
    for row in range(3):
        one = solve(plan(demo_gear()), -own[row])
        assert many.point("leg", AXLE)[row] == pytest.approx(one.point("leg", AXLE)[0], abs=1e-10, nan_ok=True)


def test_coefficients_that_were_not_asked_for_are_missing_and_not_nought() -> None:
    placed, moved = solve(plan(demo_gear()), Q, order=0), solve(plan(triad()), 0.1 * Q, order=1)
    with pytest.raises(KeyError):
        placed.spin("leg")
    with pytest.raises(KeyError):
        placed.velocity("leg", AXLE)
    with pytest.raises(KeyError):
        moved.spin_rate("plate")
    assert np.all(moved.spin("crank") == 1.0)


def test_the_ground_stands_still() -> None:
    found = solve(plan(demo_gear()), Q)
    assert np.all(found.point(GROUND, 3 + 4j) == 3 + 4j)
    assert np.all(found.velocity(GROUND, 3 + 4j) == 0)
    assert np.all(found.acceleration(GROUND, 3 + 4j) == 0)
    assert np.all(found.spin(GROUND) == 0)
    assert found.point(GROUND, 3 + 4j).shape == (1, 25)


@pytest.mark.parametrize("seed", range(6))
def test_a_trace_is_the_points_of_the_motion(seed: int) -> None:
    found = plan(grown(seed, groups=4))
    points = [*marks(found.mechanism), (GROUND, 7j)]
    traced = trace(found, 0.2 * Q, points)
    placed = solve(found, 0.2 * Q, order=0)
    assert traced.shape == (len(points), 1, 25)
    for row, (body, z) in enumerate(points):
        assert traced[row] == pytest.approx(placed.point(body, z), abs=1e-11)


@pytest.mark.parametrize("mechanism", [demo_gear(), triad()], ids=["closed form", "loose"])
def test_a_trace_does_not_depend_on_the_size_of_its_chunks(
    mechanism: Mechanism, monkeypatch: pytest.MonkeyPatch
) -> None:
    q = np.linspace(-0.25, 0.2, 203)
    whole = trace(plan(mechanism), q, marks(mechanism))
    assert np.all(np.isfinite(whole))
    for size in (1000, 64, 7):
        monkeypatch.setattr(motion, "CHUNK", size)
        assert trace(plan(mechanism), q, marks(mechanism)) == pytest.approx(whole, abs=1e-11)


def test_a_trace_of_many_designs_and_of_a_point_that_differs_between_them() -> None:
    joints = tuple(j if j.name != "knee" else Pin("knee", "upper", "lower", KNEE + VARIED) for j in demo_gear().joints)
    found = plan(Mechanism(joints, "upper pin"))
    traced = trace(found, -Q, [("lower", KNEE + VARIED), ("upper", HORN)])
    assert traced.shape == (2, 3, 25)
    assert traced[0] == pytest.approx(solve(found, -Q).point("lower", KNEE + VARIED), abs=1e-10)
    assert trace(plan(demo_gear()), -Q, [("upper", HORN + VARIED)]).shape == (1, 3, 25)


def test_the_demo_gear_as_drawn() -> None:
    """The numbers of the scenario: link lengths 200 and 123, lug 180 down the leg, knee 5 mm over centre."""
    assert abs(KNEE - UPPER_PIN) == pytest.approx(200, abs=1e-9)
    assert abs(LUG - KNEE) == pytest.approx(123, abs=1e-9)
    assert abs(LUG - TRUNNION) == pytest.approx(180, abs=1e-9)
    line = (LUG - UPPER_PIN) / abs(LUG - UPPER_PIN)
    assert abs(((KNEE - UPPER_PIN) * line.conjugate()).imag) == pytest.approx(5.0, abs=1e-9)
    found = solve(plan(demo_gear()), -Q)
    reach = [found.point("upper", HORN) - ACTUATOR_ROOT, found.point("upper", SPRING_PIN) - SPRING_ROOT]
    for span, body, drawn in zip(
        reach, ("barrel", "spring barrel"), (HORN - ACTUATOR_ROOT, SPRING_PIN - SPRING_ROOT), strict=True
    ):
        turn = span / np.abs(span) / (drawn / abs(drawn))
        assert found.turn(body) == pytest.approx(turn, abs=1e-12)


def test_rates_grow_as_one_over_the_root_of_the_distance_to_where_a_group_opens() -> None:
    found = plan(four_bar(40, 60, 50, 100, 1.0))
    limit = np.arccos((100**2 + 40**2 - 110**2) / (2 * 100 * 40)) - 1.0
    eps = np.array([1e-3, 1e-5, 1e-7])
    near = solve(found, limit - eps)
    grown_rate = near.spin("rocker")[0] * np.sqrt(eps)
    assert grown_rate[1:] == pytest.approx(np.full(2, grown_rate[0]), rel=0.02)
    grown_accel = near.spin_rate("rocker")[0] * eps**1.5
    assert grown_accel[2] == pytest.approx(0.5 * grown_rate[2], rel=1e-3)  # derivative of c/sqrt(limit - q)
