"""What the actuator would have to hold if the lock were lost, by virtual work in the locked position."""

from __future__ import annotations

import numpy as np

from linkage.gear import LEG, Gear
from linkage.mechanism.statics import travel_rate
from linkage.stroke import Stroke

NEAR_DEAD = 1e-6
"""An actuator rate below this part of the largest is a dead point: it holds nothing there."""


def push_for_moment(gear: Gear, stroke: Stroke) -> float | None:
    """Push of the actuator in N that alone holds the gear down in place, for each N mm about the trunnion and +BL.

    The leg turns by ``spin`` while the actuator travels by ``rate``, so one unit of moment needs spin/rate; side loads
    do no work in the planar linkage. None at a dead point of the drive.
    """
    rates = travel_rate(stroke.motion, gear.mechanism, gear.effort_at)
    rate = float(rates.flat[0])
    if abs(rate) <= NEAR_DEAD * float(np.nanmax(np.abs(rates))):
        return None
    spin = float(stroke.motion.spin(LEG).flat[0])
    return spin / rate  # a moment about +BL turns clockwise as drawn: the load's work is -moment x spin
