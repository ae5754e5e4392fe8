"""Where the stroke ends: leg-up, or short of it with the reason and what would reach."""

from __future__ import annotations

import math

import numpy as np

from linkage.errors import MechanismError
from linkage.gear import BRACE, LEG, LOWER, Gear
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.roots import closed_in
from linkage.stroke.motion import SCAN, StrokeEndsError, motion_at, swing_at, swinging, turns_of

FURTHEST = math.radians(300)
"""Furthest thinkable rotation of the driven body."""

UP_WITHIN = 1e-13
"""rad of driven rotation: what the rounding of the swing leaves of leg-up where the links are near a line by then."""


def driven_up(gear: Gear) -> float:
    """Driven rotation at which the leg reaches its wanted swing. Raises ``MechanismError`` where it does not."""
    return way_up(gear)[0]


def way_up(gear: Gear) -> tuple[float, Floats]:
    """`driven_up`, and the driven rotations before it at which the leg turns back."""
    for looked in (SCAN // 2, SCAN):  # few gears turn their driven body far
        grid = np.linspace(0.0, FURTHEST, SCAN)[:looked]
        motion = motion_at(gear, grid, 0)
        swing = gear.leg_sense * motion.angle(LEG)[0]
        closes = motion.margin[0] > 0
        last = looked if closes.all() else int(np.argmin(closes))
        reached = np.flatnonzero(swing[:last] >= gear.swing_up)
        if len(reached) or last < looked:
            break
    if len(reached) == 0:
        opened = opened_at(motion, last)
        by_brace = opened in ("", f"{LOWER} - {LEG}", f"{LEG} - {LOWER}") and gear.brace.has_knee
        raise StrokeEndsError(_stop_message(gear, swing[:last], opened, by_brace), by_brace)
    up = _crossed(gear, grid, swing - gear.swing_up, int(reached[0]))
    return up, _checked_way(gear, up)


def _crossed(gear: Gear, grid: Floats, beyond: Floats, first: int) -> float:
    """Where the leg comes up between a sample and the one before it; ``beyond``: leg-up, rad."""

    swing = swinging(gear)
    here, before = slice(first, first + 1), slice(first - 1, first)
    ends = grid[before], grid[here], beyond[before], beyond[here]
    return float(closed_in(lambda driven: swing(driven) - gear.swing_up, *ends, UP_WITHIN)[0])


def opened_at(motion: Motion, pose: int) -> str:
    """Name of the group that no longer closes at a pose, "" if all do."""
    if pose >= motion.margin.shape[1]:
        return ""
    return min(
        motion.state.margins, key=lambda name: float(np.nan_to_num(motion.state.margins[name][0, pose], nan=np.inf))
    )


def _checked_way(gear: Gear, up: float) -> Floats:
    """Where the leg turns back: after the last dead centre it may not, before it is up."""
    places = turns_of(gear, up)
    turns = places[gear.dead_centres :]
    if len(turns):
        at = math.degrees(float(swing_at(gear, turns[:1])[0]))
        raise MechanismError(
            f"the leg turns back at {at:.1f} deg of {math.degrees(gear.swing_up):g}: upper and lower link line up there"
            f" a second time; {gear.driven} at {math.degrees(turns[0]):.1f} deg"
        )
    return places


def _stop_message(gear: Gear, swing: Floats, opened: str, by_brace: bool) -> str:
    """Where the stroke ends short of leg-up, and what would reach."""
    if not len(swing):
        return f"gear.brace: the gear cannot leave its lock: {_reason(gear, opened)} there already"
    most, wanted = math.degrees(float(np.max(swing))), math.degrees(gear.swing_up)
    if most < 1.0 and gear.brace.has_knee:
        way = "aft" if gear.leg_sense > 0 else "forward"
        return (
            f"gear.folds: with the knee folding as given the leg does not swing {way}; it turns"
            f" {math.degrees(float(np.min(swing))):.1f} deg the other way"
        )
    short = f"({wanted - most:.1f} deg short)"
    what = f"gear.leg.swing_up: the gear stops at {most:.1f} deg of {wanted:g} {short}: {_reason(gear, opened)}"
    return what + (_gap_on_the_way(gear) if by_brace else "")


def _reason(gear: Gear, opened: str) -> str:
    if not opened:
        return "upper and lower link fold flat" if gear.brace.has_knee else f"the {gear.driven} turns no further"
    if BRACE in opened:
        return f"the {BRACE} stands square to the track of its root and reaches no further"
    return " and ".join(opened.split(" - ")) + " line up"


def _gap_on_the_way(gear: Gear) -> str:
    """By how much the links lack closing on the way, seen from the leg: all places it should pass."""
    trunnion, upper, brace = gear.pins["trunnion"].at, gear.pins["upper pin"].at, gear.brace
    swing = np.linspace(0.0, gear.swing_up, SCAN)
    lug = trunnion + (brace.lug - trunnion) * np.exp(1j * gear.leg_sense * swing)
    reach = np.abs(lug - upper)
    room = np.minimum(brace.upper_link + brace.lower_link - reach, reach - abs(brace.upper_link - brace.lower_link))
    worst = int(np.argmin(room))
    if room[worst] >= 0:
        return ""
    end = "also" if room[-1] < 0 else "not"
    where = f"{math.degrees(swing[worst]):.1f} deg"
    return f"; the links lack {-room[worst]:.1f} mm to close at {where}, and {end} with the gear up"
