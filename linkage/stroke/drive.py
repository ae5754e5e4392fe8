"""Dead points of the drive: places where the actuator cannot move the gear."""

from __future__ import annotations

import math

import numpy as np

from linkage.errors import MechanismError
from linkage.gear import CRANK, LEAST_ARM, LEG, LOCK_UPPER, UPPER, Gear
from linkage.mechanism.dead import dead_points
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import trace
from linkage.plane.vectors import cross
from linkage.stroke.motion import SCAN, actuator_rate, swing_at

PIVOTS = {LEG: "trunnion", UPPER: "upper pin", LOCK_UPPER: "lock root", CRANK: "crank pivot"}

IN_LINE = 1e-3
"""Sine of the angle below which root, pivot and pin count as drawn in line: the coordinates' own rounding."""


def pushed_pivot(gear: Gear) -> str | None:
    """Name of the airframe pin about which the actuator turns what it pushes, None where there is none."""
    return PIVOTS.get(gear.pushed or LEG)


def lever_at(gear: Gear, driven: Floats) -> Floats:
    """Sine of the angle between the actuator and the arm from that pivot to its pin: 0 at a dead point, signed."""
    pivot = gear.pins[pushed_pivot(gear) or "trunnion"].at
    ends = (gear.pins["actuator root"], gear.pins["actuator pin"])
    root, pin = trace(gear.plan, gear.drive_sense * driven, [(p.body, p.at) for p in ends])[:, 0]
    return np.asarray(cross(pin - pivot, pin - root) / np.abs((pin - pivot) * (pin - root)))


def check_drive(gear: Gear, dead_centre: float, up: float) -> None:
    """The actuator may not reverse once the last knee is through centre: there it would lose and regain the gear; and
    it may not stand at a dead point in the lock. Raises ``MechanismError`` with the place."""
    _check_lock(gear, dead_centre)
    grid = np.linspace(dead_centre * 1.0001, up, SCAN)
    reversals = dead_points(actuator_rate(gear), grid)
    if len(reversals):
        at = float(reversals[0])
        raise MechanismError(
            f"gear.actuator: its length reverses in mid-stroke at {_place(gear, at)}: there {_cause(gear, at)}, a dead"
            f" point of the drive: its force goes through infinity; move gear.actuator.root or pin"
        )


def _check_lock(gear: Gear, dead_centre: float) -> None:
    """From the lock to dead centre the actuator's own lever counts: its length alone may hardly change there."""
    if pushed_pivot(gear) is None:
        return
    _check_arms(gear)
    grid = np.linspace(0.0, dead_centre, 101) if dead_centre > 0 else np.zeros(1)
    lever = lever_at(gear, grid)
    at = int(np.argmin(np.abs(lever)))
    if lever.min() * lever.max() < 0 or abs(lever[at]) < IN_LINE:
        raise MechanismError(
            f"gear.actuator: dead point of the drive at {_place(gear, grid[at])}, in the lock: {_in_line(gear)}"
            f" ({math.degrees(math.asin(abs(lever[at]))):.2f} deg), so that no force moves the gear; move"
            f" gear.actuator.root or pin"
        )


def _check_arms(gear: Gear) -> None:
    """The pin that is pushed may lie neither on the pivot nor on the root. Raises ``MechanismError``."""
    pivot = pushed_pivot(gear) or "trunnion"
    root, pin = gear.pins["actuator root"].at, gear.pins["actuator pin"].at
    for name, other in ((pivot, gear.pins[pivot].at), ("actuator root", root)):
        if abs(pin - other) < LEAST_ARM:
            raise MechanismError(
                f"gear.actuator.pin lies {abs(pin - other):.3g} mm from the {name}: no force moves the gear; the least"
                f" that works is {LEAST_ARM:g} mm"
            )


def _cause(gear: Gear, at: float) -> str:
    if pushed_pivot(gear) is not None and abs(float(lever_at(gear, np.array([at]))[0])) < IN_LINE:
        return _in_line(gear)
    if gear.pushed == CRANK:
        return "the crank's rod points at the pivot of what it moves"
    return f"its line of action passes the point about which the {gear.pushed} turns"


def _in_line(gear: Gear) -> str:
    ends = ("upper pin", "lug") if gear.effort_at == "brace" else ("actuator root", "actuator pin")
    return f"{ends[0]}, {pushed_pivot(gear)} and {ends[1]} are in line"


def _place(gear: Gear, driven: float) -> str:
    swing = math.degrees(float(swing_at(gear, np.array([driven]))[0]))
    wanted = math.degrees(gear.swing_up)
    return f"{round(swing, 1) + 0.0:.1f} deg of {wanted:g} leg swing ({gear.driven} at {math.degrees(driven):.1f} deg)"
