"""Full results, one function a section: plain tables with units in the keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from linkage.report.sections.drive import cg_travel, emergency, moving, sizing
from linkage.report.sections.forces import actuation, load
from linkage.report.sections.loads import buckling, governing, ground_conditions, interface_loads
from linkage.report.sections.lock import door, end_stops, lock
from linkage.report.sections.motion import brace, stroke
from linkage.report.sections.share import share
from linkage.report.sections.space import gap, keep_out
from linkage.report.sections.stance import ground, steering
from linkage.report.sections.standing import loading, standing, stations, tyre
from linkage.report.sections.states import states
from linkage.results import Results

SECTIONS: dict[str, Callable[[Results], Any]] = {
    "load_share": share,
    "loading": loading,
    "stance": lambda r: [ground(g) for g in r.grounds],
    "standing": standing,
    "stations": stations,
    "tyre": tyre,
    "steering": steering,
    "brace": brace,
    "stroke": stroke,
    "lock": lock,
    "end_stops": end_stops,
    "doors": lambda r: [door(d) for d in r.doors],
    "ground_loads": lambda r: [load(x) for x in r.loads.locked],
    "ground_conditions": ground_conditions,
    "governing_loads": governing,
    "interface_loads": interface_loads,
    "brace_buckling": buckling,
    "actuation": actuation,
    "gear_moving": moving,
    "sizing": sizing,
    "cg_travel": cg_travel,
    "emergency_extension": emergency,
    "clearance": lambda r: [gap(g) for g in r.clearance.bay],
    "self_clearance": lambda r: [gap(g) for g in r.clearance.own],
    "keep_out": keep_out,
    "states": states,
}
"""Name in results.json -> function of the results."""
