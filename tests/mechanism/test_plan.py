"""The order of assembly, found from the joints alone."""

from __future__ import annotations

import dataclasses
from itertools import permutations

import pytest

from linkage.mechanism import GROUND, Mechanism, Pin, Slide, plan
from linkage.mechanism.groups import Driven, Slider, Telescope, TwoLinks
from linkage.mechanism.plan import Plan, needed
from tests.mechanism.linkages import Grower, demo_gear, four_bar, grown, scotch_yoke, slider_crank, triad


def in_order(found: Plan) -> bool:
    """Every group hangs only on bodies placed before it."""
    known = {GROUND}
    for group in found.groups:
        if not set(group.hosts()) <= known:
            return False
        known |= set(group.anchors())
    return known | set(found.loose) == {GROUND, *found.mechanism.bodies}


def kinds(found: Plan) -> list[type]:
    return sorted((type(g) for g in found.groups), key=lambda t: t.__name__)


def test_the_demo_gear_is_one_pair_of_links_and_two_telescopes() -> None:
    found = plan(demo_gear())
    assert kinds(found) == [Driven, Telescope, Telescope, TwoLinks]
    assert in_order(found)
    assert found.loose == ()


@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_the_order_in_which_the_joints_are_given_does_not_matter(order: tuple[int, ...]) -> None:
    drawn = slider_crank(40, 120, -20, 1.0)
    found = plan(Mechanism(tuple(drawn.joints[i] for i in order), drawn.driver))
    assert kinds(found) == [Driven, Slider]
    assert in_order(found)


@pytest.mark.parametrize("seed", range(20))
def test_random_linkages_are_taken_apart_into_the_groups_they_were_grown_from(seed: int) -> None:
    found = plan(grown(seed, groups=6))
    assert kinds(found) == [Driven, Slider, Slider, Telescope, Telescope, TwoLinks, TwoLinks]
    assert in_order(found)
    assert found.loose == ()


def test_a_group_behind_another_group_waits_for_it() -> None:
    for first_last in (False, True):
        groups = plan(chain(first_last)).groups
        assert [set(g.anchors()) for g in groups] == [{"crank"}, {"coupler", "rocker"}, {"far link", "far rocker"}]


def chain(first_last: bool) -> Mechanism:
    """A six-bar: a second pair of links on the rocker of a four-bar."""
    base = four_bar(40, 120, 80, 100, 1.0)
    more = (
        Pin("far pin", "rocker", "far link", 150 + 80j),
        Pin("far knee", "far link", "far rocker", 230 + 90j),
        Pin("far pivot", GROUND, "far rocker", 220 + 0j),
    )
    return Mechanism(more + base.joints if first_last else base.joints + more, base.driver)


@pytest.mark.parametrize("turned", [False, True], ids=["rail first", "slider first"])
def test_a_slide_has_a_closed_form_whichever_body_it_is_drawn_on(turned: bool) -> None:
    drawn = slider_crank(40, 120, -20, 1.0)
    guide = drawn.joint("guide")
    if turned:
        guide = dataclasses.replace(guide, a=guide.b, b=guide.a)
    assert kinds(plan(Mechanism((*drawn.joints[:3], guide), drawn.driver))) == [Driven, Slider]


@pytest.mark.parametrize(
    ("joints", "freedom"),
    [
        pytest.param(
            (Pin("o", GROUND, "crank", 0j), Pin("a", "crank", "link", 1j), Pin("b", "link", GROUND, 2j)), 0, id="truss"
        ),
        pytest.param((Pin("o", GROUND, "crank", 0j), Pin("a", "crank", "link", 1j)), 2, id="open chain"),
    ],
)
def test_wrong_mobility_is_refused(joints: tuple[Pin, ...], freedom: int) -> None:
    with pytest.raises(ValueError, match=f"leave {freedom} degrees of freedom; expected 1"):
        plan(Mechanism(joints, "o"))


def test_a_plate_on_three_links_is_left_to_newton() -> None:
    found = plan(triad())
    assert kinds(found) == [Driven]
    assert set(found.loose) == {"first link", "plate", "second link", "third link"}


def test_what_hangs_on_loose_bodies_is_loose_and_what_does_not_keeps_its_closed_form() -> None:
    base = triad()
    more = (
        Pin("e", "plate", "outer", 50 + 60j),
        Pin("f", "outer", "arm", 90 + 90j),
        Pin("g", GROUND, "arm", 120 + 60j),
        Pin("h", "crank", "barrel", 10 + 10j),
        Slide("i", "barrel", "rod", 10 + 10j, 1 + 1j),
        Pin("j", "rod", GROUND, -30 - 40j),
    )
    found = plan(Mechanism(base.joints + more, base.driver))
    assert kinds(found) == [Driven, Telescope]
    assert {"outer", "arm"} <= set(found.loose)
    assert in_order(found)


def test_a_pair_with_two_slides_is_left_to_newton() -> None:
    assert set(plan(scotch_yoke(40, 1.0)).loose) == {"block", "yoke"}


def test_a_traced_body_needs_only_what_it_hangs_on() -> None:
    found = plan(demo_gear())
    assert [type(g) for g in needed(found, ["upper"]).groups] == [Driven]
    assert [type(g) for g in needed(found, ["leg"]).groups] == [Driven, TwoLinks]
    assert [type(g) for g in needed(found, ["rod", GROUND]).groups] == [Driven, Telescope]
    assert needed(found, [GROUND]).groups == ()


def test_a_traced_loose_body_needs_all_loose_bodies_and_their_neighbours() -> None:
    found = plan(triad())
    assert needed(found, ["plate"]) == found
    assert needed(found, ["crank"]).loose == ()


def test_growing_is_repeatable() -> None:
    assert grown(7).joints == grown(7).joints
    assert isinstance(Grower(7, by_slide=True).joints[0], Slide)
