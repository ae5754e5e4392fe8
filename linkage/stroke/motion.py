"""The gear's motion over the driven rotation, towards up positive."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linkage.errors import MechanismError
from linkage.gear import LEG, Gear
from linkage.mechanism.dead import dead_points
from linkage.mechanism.groups import State
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import Motion, assemble, solve, tracer
from linkage.mechanism.plan import Plan, needed
from linkage.mechanism.statics import joint_rate

SCAN = 2001
"""Samples over a stroke, to find where it ends, stops or turns back."""


class StrokeEndsError(MechanismError):
    """The gear stops short of leg-up. ``by_brace``: because the brace reaches no further."""

    def __init__(self, message: str, by_brace: bool) -> None:
        super().__init__(message)
        self.by_brace = by_brace


def motion_at(gear: Gear, driven: Floats, order: int = 2) -> Motion:
    """The kernel's motion at driven rotations positive towards up (its own coordinate is anticlockwise)."""
    return solve(gear.plan, gear.drive_sense * driven, order)


@np.errstate(invalid="ignore")  # poses that do not close are NaN
def placed(gear: Gear, driven: Floats) -> dict[str, tuple[Complexes, Complexes]]:
    """Shift in mm and unit turn of every body but the airframe at driven rotations, each (poses,): what is drawn at z
    lies at shift + turn*z."""
    state, none = assemble(gear.plan, np.atleast_2d(gear.drive_sense * driven), 0), np.zeros(len(driven), dtype=complex)
    return {
        body: ((none + place - turn * state.anchors[body])[0], (none + turn)[0])
        for body, (place, turn) in state.pose.items()
    }


def swing_at(gear: Gear, driven: Floats) -> Floats:
    """Leg swing in rad, positive towards up, within half a turn of the lock."""
    return swinging(gear)(driven)


def swinging(gear: Gear) -> Callable[[Floats], Floats]:
    """`swing_at` as a function of the driven rotation alone."""
    trunnion = gear.pins["trunnion"].at
    tip = tracer(gear.plan, [(LEG, trunnion + gear.down)])

    def swing(driven: Floats) -> Floats:
        arm = tip(gear.drive_sense * np.atleast_1d(driven))[0, 0] - trunnion
        return np.asarray(gear.leg_sense * np.angle(arm / gear.down))

    return swing


def actuator_rate(gear: Gear) -> Callable[[Floats], Floats]:
    """Change of actuator length per radian of driven rotation towards up, mm, as a function of the driven rotation."""
    joint = gear.mechanism.joint(gear.effort_at)
    part = needed(gear.plan, [joint.a, joint.b])
    return _of_each(part, gear, lambda state: gear.drive_sense * joint_rate(state, joint))


def _of_each(part: Plan, gear: Gear, what: Callable[[State], Any]) -> Callable[[Floats], Floats]:
    """Something of the state with first coefficients, as a function of driven rotations: (poses,)."""

    def at(driven: Floats) -> Floats:
        with np.errstate(invalid="ignore"):  # poses that do not close are NaN
            state = assemble(part, np.atleast_2d(gear.drive_sense * driven), 1)
        return np.array(np.broadcast_to(what(state), (1, len(driven)))[0].real)

    return at


def turns_of(gear: Gear, up: float) -> Floats:
    """Driven rotations up to ``up`` at which the leg turns back."""
    spin = _of_each(needed(gear.plan, [LEG]), gear, lambda state: state.spin(LEG))
    return dead_points(spin, np.linspace(0.0, up, SCAN))


def dead_centres_of(gear: Gear, places: Floats) -> tuple[float, ...]:
    """Driven rotation at which each over-centre pair crosses its line: the first of the ``places`` where the leg turns
    back (`turns_of`). Raises ``MechanismError`` if one of them does not."""
    if len(places) < gear.dead_centres:
        raise MechanismError("the knee does not pass dead centre on the way up: the brace never lets go of its lock")
    return tuple(float(p) for p in places[: gear.dead_centres])
