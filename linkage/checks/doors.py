"""Doors driven from the gear: dead points and the lever of their rods."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding, within
from linkage.results import Results


def doors(r: Results) -> Iterator[Finding]:
    """For each door: the least angle of its rod in deg, and dead points of the rod on the way."""
    for door in r.doors:
        worst = int(door.rod_angle.argmin())
        yield from within(
            "door-rod",
            f"angle of the rod to {door.name}",
            math.degrees(float(door.rod_angle[worst])),
            r.study.limits.transmission_angle,
            "deg",
            f"{math.degrees(float(r.stroke.swing[worst])):.1f} deg swing",
        )
        if door.turns and not door.may_turn_back:
            beyond = math.degrees(door.beyond)
            yield Finding(
                "door-dead-point",
                f"{door.name} turns back on the way",
                beyond,
                "0 (gear.door.may_turn_back)",
                -beyond,
                "deg",
                f"{math.degrees(door.turn_swings[0]):.1f} deg swing",
                "its rod points at the pivot of what drives it",
                "geometry",
            )
