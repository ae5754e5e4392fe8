"""What a drawn mechanism is, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.mechanism import GROUND, Mechanism, Pin, Slide
from tests.mechanism.linkages import demo_gear, four_bar

CRANK = Pin("pivot", GROUND, "crank", 0j)


def test_bodies_in_the_order_in_which_they_are_named() -> None:
    assert four_bar(40, 120, 80, 100, 1.0).bodies == ("crank", "coupler", "rocker")


def test_mobility_counts_three_a_body_less_two_a_joint() -> None:
    assert demo_gear().mobility == 3 * 7 - 2 * 10 == 1


def test_a_joint_by_its_name() -> None:
    assert demo_gear().joint("knee").b == "lower"
    with pytest.raises(KeyError, match="no joint 'elbow'"):
        demo_gear().joint("elbow")


@pytest.mark.parametrize(
    ("joints", "driver", "words"),
    [
        pytest.param((CRANK, Pin("pivot", "crank", "rod", 1j)), "pivot", "names must differ", id="same name twice"),
        pytest.param((CRANK, Pin("loop", "rod", "rod", 1j)), "pivot", "'loop' joins 'rod' to itself", id="self"),
        pytest.param((CRANK,), "motor", "driver='motor' is no joint", id="unknown driver"),
        pytest.param((Pin("p", "crank", GROUND, 0j),), "p", "must join 'ground'", id="driver the wrong way round"),
        pytest.param(
            (CRANK, Pin("p", "crank", "rod", np.ones(2)), Pin("r", "rod", GROUND, np.ones(3))),
            "pivot",
            r"different numbers of designs: \[2, 3\]",
            id="designs that do not match",
        ),
    ],
)
def test_a_mechanism_that_means_nothing_is_refused(joints: tuple[Pin, ...], driver: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Mechanism(joints, driver)


@pytest.mark.parametrize("along", [0j, np.array([1.0, 0.0])])
def test_a_slide_needs_a_direction_in_every_design(along: complex) -> None:
    with pytest.raises(ValueError, match="has no direction"):
        Slide("guide", GROUND, "block", 0j, along)


def test_the_number_of_designs_is_that_of_the_joints_drawn_as_arrays() -> None:
    assert demo_gear().designs == 1
    joints = (CRANK, Slide("guide", "crank", "block", 0j, np.array([1.0, 1j, -1.0])))
    assert Mechanism(joints, "pivot").designs == 3
