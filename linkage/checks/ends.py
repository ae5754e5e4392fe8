"""Up-lock, end stops, and the room of a brace without a knee."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results


def ends(r: Results) -> Iterator[Finding]:
    """What holds the gear up, travel left at the end stops in mm, and the room of a telescoping or sliding brace."""
    yield from _brace(r)
    entry, up = r.study.gear.up_stop, r.end_stops.up
    if entry is None or up is None:
        return
    yield _least("up-travel", "actuator travel beyond leg-up", up.reached, entry.overtravel, "geometry")
    if up.kind == "hook" and up.moves is not None:
        yield _least(
            "up-hook", "travel of the hooked place beyond leg-up", up.moves, entry.engage, "gear.up_stop.engage"
        )
    limit = entry.max_force if up.kind == "hook" else _static(r)
    if up.hold is not None and limit is not None:
        who = "up-lock hook" if up.kind == "hook" else "actuator, gear up"
        state = f"{entry.load_factor:g} g, weight of the gear and new springs"
        yield _most("up-hold", f"force of the {who}", up.hold, limit, state, entry.load_factor_source)
    if up.stall is not None and entry.max_force is not None:
        yield _most("up-stall", "force on the leg stop", up.stall, entry.max_force, "actuator at its rated force", "")


def _static(r: Results) -> float | None:
    """Most force that the actuator holds at rest."""
    gear = r.study.gear
    own = gear.up_stop.max_force if gear.up_stop is not None and gear.up_stop.kind == "actuator" else None
    screw = gear.lock.actuator_force if gear.lock is not None else None
    return own or screw or gear.actuator.max_force


def _brace(r: Results) -> Iterator[Finding]:
    brace, run = r.study.gear.brace, r.end_stops.brace
    if run is None:
        return
    least, most = run
    if brace.track_to is not None:
        length = math.dist(brace.track_to, brace.upper_pin)
        yield _least("track", "track left beyond the root's travel", length - most, 0.0, "geometry")
        yield _least("track", "travel of the root short of the lock", least, 0.0, "geometry")
    elif r.study.gear.actuator.pushes != "brace":
        room = least - (most - least)
        yield _least("dead-length", "length left for the brace's ends", room, brace.dead_length, "geometry")


def _least(code: str, subject: str, value: float, bound: float, source: str) -> Finding:
    return Finding(code, subject, value, f">= {bound:g}", value - bound + 0.0, "mm", "", "", source)


def _most(code: str, subject: str, value: float, bound: float, state: str, source: str) -> Finding:
    return Finding(code, subject, value, f"<= {bound:g}", bound - value, "N", "gear up", state, source)
