"""Actuator force and length."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results


def drive(r: Results) -> Iterator[Finding]:
    """Actuator force in N against its rating, stroke and dead length in mm against the unit that can be had."""
    entry, limit = r.study.gear.actuator, r.study.limits.load_factor
    if entry.max_force is not None:
        for what, force in (("push", r.actuation.peak(limit.max)), ("pull", -r.actuation.pull(limit.max))):
            yield Finding(
                "actuator-force",
                f"actuator {what} against gravity",
                force,
                f"<= {entry.max_force:g}",
                entry.max_force - force,
                "N",
                "",
                f"{limit.max:g} g, gravity only",
                limit.source,
            )
    left, shortest = entry.travel_left_at_lock, float(r.stroke.actuator_length.min())
    room = shortest - r.stroke.actuator_stroke - 2 * left
    yield Finding(
        "dead-length",
        "length left for actuator ends",
        room,
        f">= {entry.dead_length:g}",
        room - entry.dead_length,
        "mm",
        "",
        f"with {left:g} mm of travel left at the lock",
        "geometry",
    )
