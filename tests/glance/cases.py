"""Studies with a pin or a number moved, with the glance and the full solution of each."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from linkage.document.reader import Source
from linkage.glance import Glance, Held, glance
from linkage.solution import Solution, solve
from tests.studies import MERROW, OSTREL, changed, source

LEFT_OUT: dict[str, Any] = {"state": [], "gear.emergency": None}
"""What a glance leaves out and a solution takes most of its time for; only the whole studies have it."""
WHOLE: dict[str, tuple[Path, dict[str, Any]]] = {
    "demo": (MERROW, {}),
    "demo, wider shaft": (MERROW, {"bay.item[7].radius": 33}),
    "Ostrel": (OSTREL, {}),
}
MOVED: dict[str, tuple[Path, dict[str, Any]]] = {
    "demo, upper pin aft": (MERROW, {"gear.brace.upper_pin": [1146, 552]}),
    "demo, upper pin forward": (MERROW, {"gear.brace.upper_pin": [1136, 549]}),
    "demo, trunnion lower": (MERROW, {"gear.trunnion": [842, 678]}),
    "demo, less over centre": (MERROW, {"gear.brace.over_centre": 1.2}),
    "demo, actuator root": (MERROW, {"gear.actuator.root": [796, 748]}),
    "demo, lug further down": (MERROW, {"gear.brace.lug": {"along": 184, "offset": 2}}),
    "demo, longer leg": (MERROW, {"gear.leg.length": 604}),
    "demo, crossover in the way": (MERROW, {"bay.item[3].radius": 250}),
    "Ostrel, upper pin": (OSTREL, {"gear.brace.upper_pin": [34.2, 24.1]}),
    "Ostrel, trunnion": (OSTREL, {"gear.trunnion": [48.1, 28.3]}),
    "Ostrel, actuator root": (OSTREL, {"gear.actuator.root": [58.3, 22.2]}),
    "Ostrel, lug": (OSTREL, {"gear.brace.lug": {"along": 8.1}}),
    "Ostrel, shorter leg": (OSTREL, {"gear.leg.length": 23.0}),
}
CASES = WHOLE | {name: (path, LEFT_OUT | changes) for name, (path, changes) in MOVED.items()}


@cache
def looked(name: str) -> Glance:
    path, changes = CASES[name]
    return glance(changed(changes, path), Held(path.parent))


@cache
def solved(name: str) -> Solution:
    path, changes = CASES[name]
    read = source(path)
    return solve(Source(path, read.sha256, read.text, changed(changes, path)), closely=False)
