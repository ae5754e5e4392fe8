"""Gears of every topology on the starter study, or forward-folding on the inch study, each as one set of changes."""

from __future__ import annotations

from functools import cache
from typing import Any

from linkage.document.reader import Source, parse
from linkage.document.study import Study
from linkage.solution import Solution, solve
from tests.studies import OSTREL, ROOT, changed, table

STARTER = ROOT / "linkage" / "document" / "starter.toml"

BARE: dict[str, Any] = {
    "bay.item": [],
    "gear.neighbours": [],
    "gear.self_gap": 0,
    "gear.lock": {"holds": ["self-locking actuator"], "release": "by hand"},
    "gear.up_stop": {"kind": "actuator"},
    "gear.actuator.dead_length": 0,
    "stroke.poses": 91,
    "gear.part": [
        {"name": "tyre", "centre": "axle", "radius": 185.7, "butt_lines": [-65.4, 65.4], "tyre": True},
        {"name": "leg", "from": "trunnion", "to": {"along": 214}, "width": 72, "butt_lines": [-36, 36]},
        {"name": "brace", "from": "upper pin", "to": "lug", "width": 28, "butt_lines": [[-56, -44], [44, 56]]},
    ],
}
"""The starter without bay and limits of self-clearance."""
ON_LEG = {
    "gear.actuator.root": [600, 560],
    "gear.actuator.pushes": "leg",
    "gear.actuator.pin": {"along": 120},
}
CRANK = {
    "gear.actuator.root": [958, 698],
    "gear.actuator.pushes": "bell-crank",
    "gear.actuator.pin": [1161, 931],
    "gear.actuator.crank": {
        "pivot": [1222, 700],
        "rod_pin": [991, 870],
        "drives": "upper link",
        "end": {"radius": 100, "angle": 37},
    },
}
LOCK_LINKS = {
    "gear.lock_link": {
        "root": [990, 705],
        "pin": {"radius": 100, "angle": 12},
        "upper_link": 125,
        "over_centre": 2,
        "knee_folds": "aft",
        "max_force": 5000,
    },
    "gear.part": [
        *BARE["gear.part"],
        {"name": "lock link", "from": "lock root", "to": "lock knee", "width": 16, "butt_lines": [60, 66]},
        {"name": "lower lock link", "from": "lock knee", "to": "lock pin", "width": 16, "butt_lines": [60, 66]},
    ],
    "gear.neighbours": [["lock link", "lower lock link"]],
}
LOWER_LINK = {
    "gear.actuator.root": [1038, 980],
    "gear.actuator.pushes": "lower link",
    "gear.actuator.pin": {"radius": 80, "angle": 17},
}
TELESCOPING = {
    **ON_LEG,
    "gear.brace": {"kind": "telescoping", "upper_pin": [1300, 950], "lug": {"along": 180}, "length": 655.4334},
    "gear.lock": {"holds": ["brace lock"], "brace_force": 12000},
}
IN_THE_BRACE = {**TELESCOPING, "gear.actuator": {"pushes": "brace", "max_force": 6000}}
SLIDING = {
    **ON_LEG,
    "gear.brace": {
        "kind": "sliding root",
        "upper_pin": [1300, 800],
        "lug": {"along": 180},
        "length": 563.9353,
        "track_to": [1600, 1000],
    },
    "gear.lock": {"holds": ["brace lock"], "brace_force": 12000},
}
DOOR = {
    "gear.door": [
        {
            "name": "nose door",
            "hinge": [1600, 436],
            "tip": [1560, 40],
            "thickness": 6,
            "butt_lines": [-140, 140],
            "rod_on_door": [1523, 207],
            "rod_on_gear": {"along": 46, "offset": -29},
            "mass": 1.2,
        }
    ],
}
VARIANTS: dict[str, dict[str, Any]] = {
    "upper link": {},
    "lower link": LOWER_LINK,
    "leg": ON_LEG,
    "bell-crank": CRANK,
    "lock links": LOCK_LINKS,
    "telescoping": TELESCOPING,
    "actuator in the brace": IN_THE_BRACE,
    "sliding root": SLIDING,
    "door": DOOR,
}


def plain(changes: dict[str, Any]) -> dict[str, Any]:
    """The bare starter as a plain table, with some dotted paths changed."""
    return table(STARTER, {**BARE, **changes})


def study(name: str, more: dict[str, Any] | None = None) -> Study:
    return parse(plain({**VARIANTS[name], **(more or {})}), STARTER.name)


@cache
def solved(name: str) -> Solution:
    return solve(Source(STARTER, "0" * 64, "", study(name)))


def forward(more: dict[str, Any] | None = None) -> Study:
    """The inch study, folding forward, without its bay."""
    return changed({"bay.item": [], "stroke.poses": 91, **(more or {})}, OSTREL)
