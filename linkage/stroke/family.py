"""Where the stroke of every design of a family ends, in closed form: see `linkage.document.variants`."""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.gear import LEG, LOCK_UPPER, BraceShape, Gear
from linkage.gear.shape import root
from linkage.mechanism.model import Floats
from linkage.plane.vectors import cross
from linkage.stroke.ends import FURTHEST


@np.errstate(invalid="ignore")
def driven_up_of(gear: Gear) -> Floats:
    """Driven rotation with the leg up, rad, positive towards up: shape (designs,), NaN where the links do not reach.

    Every over-centre pair has then gone through its line once. That nothing jams or turns back on the way is not looked
    at here.
    """
    if gear.driven == LEG:
        return np.atleast_1d(gear.swing_up) * np.ones(gear.mechanism.designs)
    trunnion, upper, lug = (gear.pins[name].at for name in ("trunnion", "upper pin", "lug"))
    up = trunnion + (lug - trunnion) * np.exp(1j * gear.leg_sense * gear.swing_up)
    turn = _turned(gear.brace, upper, up)
    if gear.driven == LOCK_UPPER and gear.lock_link is not None:
        pin = upper + (gear.pins["lock pin"].at - upper) * turn
        turn = _turned(gear.lock_link, gear.pins["lock root"].at, pin)
    angle = np.atleast_1d(np.ravel(gear.drive_sense) * np.angle(turn)) % (2 * np.pi)
    return np.where(angle < FURTHEST, angle, np.nan)


@np.errstate(invalid="ignore")
def dead_centre_of(gear: Gear) -> Floats:
    """Driven rotation at which the brace lies straight, rad, positive towards up: shape (designs,), NaN where the links
    do not reach. Of a brace with a knee whose upper link is driven."""
    trunnion, upper, lug, knee = (gear.pins[name].at for name in ("trunnion", "upper pin", "lug", "knee"))
    base, arm, span = upper - trunnion, lug - trunnion, gear.brace.upper_link + gear.brace.lower_link
    opening = np.arccos((abs(arm) ** 2 + abs(base) ** 2 - span**2) / (2.0 * abs(arm) * abs(base)))
    far = trunnion + base / abs(base) * abs(arm) * np.exp(1j * np.sign(cross(base, arm)) * opening)
    turn = (far - upper) / span * gear.brace.upper_link / (knee - upper)
    return np.atleast_1d(np.ravel(gear.drive_sense) * np.angle(turn))


def _turned(shape: BraceShape, near: complex, far: Any) -> Any:
    """Unit number by which the pair's first link has turned once its far end lies at ``far``."""
    r, s, d = shape.upper_link, shape.lower_link, far - near
    side = np.sign(cross(shape.lug - near, shape.knee - near)) * np.where(shape.over_centre > 0, -1.0, 1.0)
    along = 0.5 + 0.5 * (r * r - s * s) / abs(d) ** 2
    arm = d * (along + 1j * side * root(r * r / abs(d) ** 2 - along * along))
    return arm / (shape.knee - near)
