"""What the actuator would have to hold if the lock were lost, by virtual work in the locked position."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linkage.gear import LEG, Gear
from linkage.loads.statics import PointLoad
from linkage.mechanism.statics import travel_rate
from linkage.stroke import Stroke

NEAR_DEAD = 1e-6
"""An actuator rate below this part of the largest is a dead point: it holds nothing there."""


def lost_lock_push(gear: Gear, stroke: Stroke, applied: Sequence[PointLoad]) -> float | None:
    """Push of the actuator in N (negative: pull) that alone holds the gear down in place; None at its dead point.

    The linkage is planar: side loads do no work in it.
    """
    rates = travel_rate(stroke.motion, gear.mechanism, gear.effort_at)
    rate = float(rates.flat[0])
    if abs(rate) <= NEAR_DEAD * float(np.nanmax(np.abs(rates))):
        return None
    power = 0.0
    for load in applied:
        speed = complex(stroke.motion.velocity(LEG, complex(load.at[0], load.at[2])).flat[0])
        power += float(load.force[0]) * speed.real + float(load.force[2]) * speed.imag
    return -power / rate
