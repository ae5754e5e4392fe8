"""Each closed form against elementary geometry: what a joint must keep, on the side on which it was drawn."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.mechanism import GROUND, Mechanism, Motion, Pin, Slide, plan, solve
from linkage.plane.vectors import cross, dot
from tests.mechanism.linkages import demo_gear, four_bar, grown, slider_crank

Q = np.linspace(-0.4, 0.5, 37)
SEEDS = st.integers(0, 2**32 - 1)
RANDOM = settings(max_examples=60, deadline=None, derandomize=True)


def opening(mechanism: Mechanism, motion: Motion) -> float:
    """The largest fault of any joint at any pose that closes, in length units: pins apart, slides askew or aside."""
    worst = 0.0
    closes = motion.margin[0] > 0
    for j in mechanism.joints:
        gap = motion.point(j.b, j.at)[0] - motion.point(j.a, j.at)[0]
        faults = np.abs(gap)
        if isinstance(j, Slide):
            axis = motion.turn(j.a)[0] * j.along / abs(j.along)
            askew = 100 * np.abs(motion.turn(j.a)[0] - motion.turn(j.b)[0])
            faults = np.maximum(np.abs(cross(axis, gap)), askew)
        worst = max(worst, float(np.max(faults[closes], initial=0.0)))
    return worst


@RANDOM
@given(SEEDS, st.booleans())
def test_random_linkages_keep_their_joints_closed_over_the_stroke(seed: int, by_slide: bool) -> None:
    mechanism = grown(seed, groups=4, by_slide=by_slide)
    motion = solve(plan(mechanism), Q * (30 if by_slide else 1), order=0)
    assert np.sum(motion.margin > 0) >= 3
    assert opening(mechanism, motion) < 1e-9


@RANDOM
@given(SEEDS)
def test_random_linkages_keep_their_link_lengths_over_the_stroke(seed: int) -> None:
    mechanism = grown(seed, groups=4)
    motion = solve(plan(mechanism), Q, order=0)
    closes = motion.margin[0] > 0
    for body in mechanism.bodies:
        pins = [complex(j.at) for j in mechanism.joints if body in (j.a, j.b)]
        places = np.stack([motion.point(body, z)[0, closes] for z in pins])
        drawn = np.abs(np.subtract.outer(pins, pins))
        moved = np.abs(places[:, None] - places[None])
        assert np.max(np.abs(moved - drawn[..., None])) < 1e-9


@RANDOM
@given(SEEDS)
def test_the_drawn_position_is_the_position_without_travel(seed: int) -> None:
    motion = solve(plan(grown(seed, groups=4)), 0.0, order=0)
    for body in grown(seed, groups=4).bodies:
        assert motion.turn(body)[0, 0] == pytest.approx(1.0, abs=1e-12)
        assert motion.point(body, 30 - 50j)[0, 0] == pytest.approx(30 - 50j, abs=1e-10)


@pytest.mark.parametrize("side", [1, -1], ids=["open", "crossed"])
def test_two_links_stay_on_the_side_on_which_they_are_drawn(side: int) -> None:
    mechanism = four_bar(40, 120, 80, 100, 1.0, side)
    motion = solve(plan(mechanism), np.linspace(0, 2 * np.pi, 181), order=0)
    pin = motion.point("crank", mechanism.joint("crank pin").at)
    knee = motion.point("rocker", mechanism.joint("rocker pin").at)
    assert np.all(np.sign(cross(100 - pin, knee - pin)) == side)
    assert np.abs(knee - pin) == pytest.approx(np.full_like(motion.margin, 120), abs=1e-9)


def telescope_between(offset: float, along: complex = 1 + 0j) -> Mechanism:
    """Crank of 50 about 0, telescope from (200, 0) to the crank pin, whose slide passes the pins at ``offset``."""
    return Mechanism(
        (
            Pin("pivot", GROUND, "crank", 0j),
            Pin("crank pin", "crank", "rod", 50j),
            Slide("slide", "barrel", "rod", 50j, along),
            Pin("root", GROUND, "barrel", 200 + 0j),
        ),
        "pivot",
    )


@pytest.mark.parametrize("along", [-200 + 50j, 200 - 50j, -1 + 0.1j, 1 - 0.7j], ids=str)
def test_a_telescope_keeps_its_sideways_offset_and_its_axis(along: complex) -> None:
    motion = solve(plan(telescope_between(0.0, along)), np.linspace(-3, 3, 61), order=0)
    unit = along / abs(along)
    drawn = cross(unit, 50j - 200)
    axis = motion.turn("barrel")[0] * unit
    span = motion.point("crank", 50j)[0] - 200
    assert cross(axis, span) == pytest.approx(np.full(61, drawn), abs=1e-9)
    assert motion.turn("rod") == pytest.approx(motion.turn("barrel"), abs=0)
    assert np.all(np.sign(dot(axis, span)) == np.sign(dot(unit, 50j - 200)))
    assert motion.margin[0] == pytest.approx(np.abs(span) - abs(drawn), abs=1e-9)


def test_a_telescope_opens_where_its_pins_come_closer_than_its_offset() -> None:
    along = np.exp(1j * np.radians(60)) * (-200 + 50j)  # 60 deg off the line of the pins: offset 178.5
    motion = solve(plan(telescope_between(0.0, along)), np.linspace(-3.1, 3.1, 200), order=0)
    least = abs(200 - 50j) * np.sin(np.radians(60))
    near = np.abs(motion.point("crank", 50j)[0] - 200) < least
    assert 0 < near.sum() < 200
    assert np.array_equal(motion.margin[0] < 0, near)
    assert np.array_equal(np.isnan(motion.turn("rod")[0]), near)
    assert not np.any(np.isnan(motion.turn("crank")))


@pytest.mark.parametrize("side", [1, -1], ids=["ahead", "behind"])
@pytest.mark.parametrize("turned", [False, True], ids=["rail first", "slider first"])
def test_a_slider_stays_on_its_ground_rail(side: int, turned: bool) -> None:
    drawn = slider_crank(40, 120, -20, 1.0, side)
    guide = drawn.joint("guide")
    if turned:
        guide = dataclasses.replace(guide, a=guide.b, b=guide.a)
    motion = solve(plan(Mechanism((*drawn.joints[:3], guide), drawn.driver)), np.linspace(0, 6, 61), order=0)
    pin, block = motion.point("crank", 40 * np.exp(1j))[0], motion.point("slider", guide.at)[0]
    assert block.imag == pytest.approx(np.full(61, -20.0), abs=1e-10)
    assert np.abs(block - pin) == pytest.approx(np.full(61, 120.0), abs=1e-10)
    assert np.all(np.sign(block.real - pin.real) == side)
    assert np.all(motion.turn("slider") == 1.0)
    assert motion.margin[0] == pytest.approx(120 - np.abs(pin.imag + 20), abs=1e-10)


def on_moving_rail(turned: bool) -> Mechanism:
    """A block pinned to a link from the ground slides on the coupler of a four-bar."""
    base = four_bar(40, 120, 80, 100, 1.0)
    a, b = ("block", "coupler") if turned else ("coupler", "block")
    return Mechanism(
        (
            *base.joints,
            Slide("rail", a, b, 60 + 90j, 3 + 1j),
            Pin("block pin", "block", "link", 60 + 90j),
            Pin("root", "link", GROUND, 90 + 160j),
        ),
        base.driver,
    )


@pytest.mark.parametrize("turned", [False, True], ids=["rail first", "slider first"])
def test_a_slider_stays_on_a_rail_that_moves(turned: bool) -> None:
    motion = solve(plan(on_moving_rail(turned)), Q, order=0)
    assert np.all(motion.margin > 0)
    block, rail = motion.point("block", 60 + 90j)[0], motion.point("coupler", 60 + 90j)[0]
    axis = motion.turn("coupler")[0] * (3 + 1j) / abs(3 + 1j)
    assert cross(axis, block - rail) == pytest.approx(np.zeros(37), abs=1e-10)
    assert np.ptp(dot(axis, block - rail)) > 10  # it does slide
    assert np.abs(block - (90 + 160j)) == pytest.approx(np.full(37, abs(30 + 70j)), abs=1e-10)
    assert motion.turn("block") == pytest.approx(motion.turn("coupler"), abs=0)


def test_a_driven_pin_turns_and_a_driven_slide_shifts_by_q() -> None:
    turned = solve(plan(demo_gear()), Q)
    assert turned.angle("upper")[0] == pytest.approx(Q, abs=1e-14)
    assert turned.spin("upper")[0] == pytest.approx(np.ones(37), abs=0)
    mechanism = Mechanism((Slide("drive", GROUND, "carriage", 5 + 5j, 3 + 4j),), "drive")
    shifted = solve(plan(mechanism), Q)
    assert shifted.point("carriage", 1j)[0] == pytest.approx(1j + Q * (0.6 + 0.8j), abs=1e-15)
    assert shifted.velocity("carriage", 1j)[0] == pytest.approx(np.full(37, 0.6 + 0.8j), abs=1e-15)
    assert np.all(shifted.turn("carriage") == 1.0)
    assert np.all(shifted.acceleration("carriage", 1j) == 0.0)
    assert np.all(shifted.spin("carriage") == 0.0)
