"""Where the core of a part runs: its points at any driven rotation, and a proved bound on the way between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from linkage.gear import LEG, BodyPoint, Gear, GearPart
from linkage.mechanism.enclosure import chord_slack
from linkage.mechanism.model import GROUND, Complexes, Floats
from linkage.stroke import motion_at

PROOF_CELLS = 256
"""Cells in which the turn of a body is bounded; only the slack of the outermost turn depends on it."""


@dataclass(frozen=True)
class Turning:
    """A part whose whole core turns about one pin of the airframe, from ``lo`` to ``hi`` rad, drawn position 0."""

    pivot: complex
    lo: float
    hi: float


def in_state(part: GearPart, gear: Gear, compression: float) -> GearPart:
    """The part with the strut compressed: piston parts move up the leg, their points on the leg and its axle."""
    if not part.on_piston or compression == 0.0:
        return part
    lift = -compression * gear.down
    core = tuple(BodyPoint(p.body, p.at + lift) if p.body == LEG else p for p in part.core)
    return replace(part, core=core)


def core_at(gear: Gear, part: GearPart) -> Callable[[Floats], Complexes]:
    """Function of driven rotations (k,) to core points (k, m)."""

    def at(driven: Floats) -> Complexes:
        motion = motion_at(gear, np.atleast_1d(driven), 0)
        return np.stack([motion.point(p.body, p.at)[0] for p in part.core], axis=-1)

    return at


def slack_of(gear: Gear, part: GearPart) -> Callable[[Floats, Floats], Floats]:
    """Function of cells [lo, hi] of driven rotation to a proved bound on the core's distance from its chords, mm."""
    points = [(p.body, p.at) for p in part.core]

    def slack(lo: Floats, hi: Floats) -> Floats:
        ends = gear.drive_sense * np.asarray(lo), gear.drive_sense * np.asarray(hi)
        return chord_slack(gear.plan, np.minimum(*ends), np.maximum(*ends), points)

    return slack


def turning(gear: Gear, part: GearPart, driven_up: float) -> Turning | None:
    """How the part turns on the airframe over the whole stroke, or None if it does not just turn.

    The range is that of the samples widened by the proved bound between them, so it holds for every pose.
    """
    bodies = {p.body for p in part.core}
    body = next(iter(bodies))
    if len(bodies) != 1 or body not in gear.pivots:
        return None
    pivot = gear.pivots[body]
    edges = np.linspace(0.0, driven_up, PROOF_CELLS + 1)
    probe = GearPart("probe", (BodyPoint(body, pivot + 1.0),), False, 0.0, (), False, False)
    # a point one millimetre from the pivot strays from its chord by no less than its angle strays in radians
    loose = float(np.max(slack_of(gear, probe)(edges[:-1], edges[1:])))
    angles = motion_at(gear, edges, 0).angle(body)[0]
    return Turning(pivot, float(angles.min()) - 2 * loose, float(angles.max()) + 2 * loose)


def is_fixed(part: GearPart) -> bool:
    return all(p.body == GROUND for p in part.core)
