"""Emergency extension: does the gear lock by itself, at which speeds, and how hard does it arrive."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.extension import EmergencyExtension
from linkage.results import Results

RULE = "14 CFR 23.729(c), 2015 edition: emergency extension"


def emergency(r: Results) -> Iterator[Finding]:
    """Does the gear fall and lock by itself: rest in deg, speeds in m/s. Nothing if the study has no emergency."""
    e = r.extension
    if e is None:
        return
    yield _locks(e)
    yield from _speeds(r, e)
    yield _closes(e)
    limits, run = r.study.limits.extension_slam, e.fastest
    if limits.max is not None and math.isfinite(run.arrival_speed):
        yield Finding(
            "extension-slam",
            "axle speed as the brace goes straight",
            run.arrival_speed,
            f"<= {limits.max:g}",
            limits.max - run.arrival_speed,
            "m/s",
            "dead centre",
            str(run.condition),
            limits.source,
        )


def _locks(e: EmergencyExtension) -> Finding:
    run = e.hardest
    left = 0.0 if run.stop is None else math.degrees(run.stop[1])
    state = f"{run.condition}; " + (
        f"{run.duration:.1f} s, {run.at_dead_centre:.2g} J left at dead centre"
        if run.locks
        else f"{-float(e.reserves.min()):.2g} J lacking"
    )
    return Finding(
        "emergency-locks", "swing left where the gear comes to rest", left, "0", 0.0 - left, "deg",
        "the lock" if run.locks else f"{left:.1f} deg swing", state, RULE,
    )  # fmt: skip


def _speeds(r: Results, e: EmergencyExtension) -> Iterator[Finding]:
    """Range of speeds at the least health of the limits, read from the envelope on the safe side."""
    v, (slow, fast) = e.envelope, e.required_speeds
    weak = r.study.limits.spring_health.min
    health = 1.0 if weak is None else weak
    below = max((i for i in range(len(v.health)) if v.health[i] <= health + 1e-9), default=0)
    highest, lowest = float(v.highest[below]), float(v.lowest[below])
    sprung = bool(r.study.gear.spring)
    state = f"springs {100 * float(v.health[below]):.0f} % at {v.temperature:g} C" if sprung else "no gas springs"
    if not math.isfinite(highest):
        highest = lowest = 0.0
        state += "; locks at none"
    if fast > 0:
        note = f"{state}; fastest tried" if highest >= v.searched else state
        yield Finding(
            "emergency-speed", "highest speed at which the gear locks by itself", highest, f">= {fast:g}",
            highest - fast, "m/s", "", note, RULE,
        )  # fmt: skip
    if lowest > 0:
        yield Finding(
            "emergency-speed", "lowest speed at which the gear locks by itself", lowest, f"<= {slow:g}",
            slow - lowest, "m/s", "", state, RULE,
        )  # fmt: skip


def _closes(e: EmergencyExtension) -> Finding:
    return Finding(
        "emergency-closing",
        "least moment that takes the knee home from rest",
        e.closing / 1000.0,
        ">= 0",
        e.closing / 1000.0,
        "N m",
        "first contact to the lock",
        str(e.hardest.condition),
        "a gear that arrives slowly must lock as well: assumption of this tool, no source",
    )
