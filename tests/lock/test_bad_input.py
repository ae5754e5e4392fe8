"""Locks and drives that cannot be, each with its field or its place."""

from __future__ import annotations

import cmath
import math
from typing import Any

import pytest

from linkage.errors import DocumentError, MechanismError
from linkage.stroke import gear_and_stroke
from tests.studies import changed
from tests.topologies import LOCK_LINKS, forward
from tests.topologies import study as variant

UPRIGHT = {"gear.lock_link.root": [1047, 705], "gear.lock_link.knee_folds": "up"}
NO_LINE = {"gear.mass[0].on": "track slider", "gear.mass[0].at": {"radius": 9}}
WRONG: list[tuple[str, str, dict[str, Any], str, str]] = [
    ("no hook", "upper link", {"gear.lock": {"holds": "hook"}}, "gear.lock.holds", "expected hook as well"),
    ("no lock links", "upper link", {"gear.lock": {"holds": "lock link"}}, "gear.lock.holds", "[gear.lock_link]"),
    ("no spring", "upper link", {"gear.lock": {"holds": "spring"}}, "gear.lock.holds", "[[gear.spring]]"),
    ("not locking", "upper link", {"gear.actuator.self_locking": False}, "gear.lock.holds", "self_locking = true"),
    (
        "knee has no inner lock",
        "upper link",
        {"gear.lock": {"holds": "brace lock", "brace_force": 1}},
        "holds",
        "slides",
    ),
    ("nothing holds", "upper link", {"gear.lock": {"holds": []}}, "gear.lock.holds", "at least 1"),
    ("unknown holder", "upper link", {"gear.lock": {"holds": "magnet"}}, "gear.lock.holds", "hook"),
    ("knee on centre", "lock links", {"gear.brace.over_centre": 0}, "gear.brace.over_centre", "above 0 mm"),
    ("knee before centre", "upper link", {"gear.brace.over_centre": -1}, "gear.brace.over_centre", "gear.lock_link"),
    ("lock knee before centre", "lock links", {"gear.lock_link.over_centre": -1}, "gear.lock_link", "above 0 mm"),
    ("lock knee half given", "lock links", {"gear.lock_link.over_centre": None}, "gear.lock_link", "either knee"),
    ("lock link too long", "lock links", {"gear.lock_link.upper_link": 400}, "gear.lock_link.upper_link", "below"),
    ("lock link along", "lock links", UPRIGHT, "gear.lock_link.knee_folds", "forward"),
    ("lock links on the leg", "lock links", {"gear.lock_link.pin": "lug"}, "gear.lock_link.pin", "'knee'"),
    ("lock links on a telescope", "telescoping", LOCK_LINKS, "gear.lock_link", "a folding brace"),
    ("knee on a telescope", "telescoping", {"gear.brace.over_centre": 5}, "gear.brace", "length"),
    ("no length", "telescoping", {"gear.brace.length": None}, "gear", "leg.tilt or brace.length"),
    ("no track", "sliding root", {"gear.brace.track_to": None}, "gear.brace", "track_to"),
    ("track without length", "sliding root", {"gear.brace.track_to": [1300, 800]}, "gear.brace", "far end"),
    ("drive inside a folding brace", "upper link", {"gear.actuator": {"pushes": "brace"}}, "pushes", "telescoping"),
    ("no pin", "upper link", {"gear.actuator.pin": None}, "gear.actuator", "root and pin"),
    (
        "body not there",
        "telescoping",
        {"gear.mass[0].on": "upper link", "gear.mass[0].at": [1, 2]},
        "mass[0].on",
        "leg",
    ),
    ("line not there", "sliding root", NO_LINE, "gear.mass[0].at", "[FS, WL]"),
    ("stop nowhere", "upper link", {"gear.up_stop": {"kind": "hook"}}, "gear.up_stop", "expected at"),
    ("door named as a body", "door", {"gear.door[0].name": "leg"}, "gear.door[0].name", "its own"),
    ("door without arm", "door", {"gear.door[0].rod_on_door": [1600, 436]}, "gear.door[0].rod_on_door", "away"),
]


@pytest.mark.parametrize(("name", "topology", "more", "field", "expected"), WRONG, ids=[w[0] for w in WRONG])
def test_wrong_lock_names_its_field(name: str, topology: str, more: dict[str, Any], field: str, expected: str) -> None:
    del name
    with pytest.raises(DocumentError) as caught:
        gear_and_stroke(variant(topology, more))
    assert field in str(caught.value)
    assert expected in str(caught.value)


STUCK: list[tuple[str, str, dict[str, Any], list[str]]] = [
    (
        "leg: root, trunnion and pin in line at the lock",
        "leg",
        {"gear.actuator.root": [857.38, 842.25]},  # 160.2 mm from the trunnion on the line of the leg, produced upwards
        ["gear.actuator: dead point of the drive at 0.0 deg", "actuator root, trunnion and actuator pin are in line"],
    ),
    (
        "leg: in mid-stroke",
        "leg",
        {"gear.actuator.root": [740, 800]},
        ["reverses in mid-stroke at", "of 92 leg swing", "actuator root, trunnion and actuator pin are in line"],
    ),
    (
        "crank: in line at the lock",
        "bell-crank",
        {"gear.actuator.root": [1283, 469]},
        ["dead point of the drive at 0.0 deg", "actuator root, crank pivot and actuator pin are in line"],
    ),
    (
        "crank: its rod points at the upper pin",
        "bell-crank",
        {
            "gear.actuator.root": [800, 820],
            "gear.actuator.pin": [1080, 880],
            "gear.actuator.crank": {
                "pivot": [1100, 780],
                "rod_pin": [1020, 740],
                "drives": "upper link",
                "end": {"radius": 100, "angle": -56},
            },
        },
        ["reverses in mid-stroke at 2.9 deg", "the crank's rod points at the pivot of what it moves"],
    ),
    (
        "lower link",
        "lower link",
        {"gear.actuator.root": [800, 752], "gear.actuator.pin": {"radius": 40}},
        ["reverses in mid-stroke at 40.9 deg", "the point about which the lower link turns"],
    ),
    (
        "brace as actuator, in line with the trunnion on the way",
        "actuator in the brace",
        {"gear.brace.upper_pin": [1140, 550], "gear.brace.length": 322.8358},
        ["reverses in mid-stroke at 72.4 deg", "upper pin, trunnion and lug are in line"],
    ),
    (
        "telescope cannot close",
        "telescoping",
        {"gear.brace.length": 900},
        ["trunnion to upper pin", "length) 900.00 mm", "longest brace that closes"],
    ),
    (
        "sliding root square to its track",
        "sliding root",
        {"gear.brace.upper_pin": [1040, 400], "gear.brace.length": 242, "gear.brace.track_to": [1500, 400]},
        ["the gear stops at", "brace link stands square to the track"],
    ),
    (
        "door rod jams",
        "door",
        {"gear.door[0].rod_on_door": [1575, 340], "gear.door[0].rod_on_gear": {"along": 250, "offset": 20}},
        ["the gear stops at 28.0 deg of 92", "nose door and nose door rod line up"],
    ),
    (
        "lock links jam",
        "lock links",
        {"gear.lock_link.root": [930, 690], "gear.lock_link.upper_link": 70, "gear.lock_link.pin": "knee"},
        ["the gear stops at 55.0 deg of 92", "upper link and lower lock link line up"],
    ),
]


@pytest.mark.parametrize(("name", "topology", "more", "words"), STUCK, ids=[s[0] for s in STUCK])
def test_what_cannot_move_says_where_and_why(name: str, topology: str, more: dict[str, Any], words: list[str]) -> None:
    del name
    with pytest.raises(MechanismError) as caught:
        gear_and_stroke(variant(topology, more))
    for word in words:
        assert word in str(caught.value)
    if "gear.door" not in str(more) and "upper_link" not in str(more):
        assert "the shortest upper_link" not in str(caught.value)


def test_dead_point_of_a_forward_folding_drive_at_the_lock() -> None:
    """Root on the line through trunnion and pin, beyond the trunnion."""
    gear, _ = gear_and_stroke(forward())
    trunnion = gear.pins["trunnion"].at
    root = trunnion - 4 * 25.4 * gear.down
    with pytest.raises(MechanismError, match=r"dead point of the drive at -?0.0 deg of 88 leg swing"):
        gear_and_stroke(forward({"gear.actuator.root": [root.real / 25.4, root.imag / 25.4]}))


@pytest.mark.parametrize(("beyond", "knee_folds"), [(123, "up"), (-60, "down")])
def test_links_in_line_in_the_lock_already(beyond: float, knee_folds: str) -> None:
    """The lower link lies along the leg: there is no way out of the lock, and not even a first place to tell of."""
    leg = -cmath.exp(1j * (math.pi / 2 - math.radians(5)))
    knee = 840 + 682j + (180 + beyond) * leg
    brace = {"upper_pin": [1140, 550], "lug": {"along": 180}, "knee": [knee.real, knee.imag], "knee_folds": knee_folds}
    gear = {"gear.leg": {"length": 594, "axle_offset": 25, "swing_up": 92, "tilt": 5}, "gear.brace": brace}
    with pytest.raises(MechanismError, match="cannot leave its lock: lower link and leg line up there already"):
        gear_and_stroke(changed(gear))
