"""What is asked of the actuator of one gear as made, solved as `check` does: in every state, with friction and air."""

from __future__ import annotations

import numpy as np

from linkage.actuation.drive import drive
from linkage.errors import LinkageError
from linkage.stroke import gear_and_stroke
from linkage.tolerance.assembly import alone
from linkage.tolerance.followed import SWING, Setting
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import value_of


def force_left(setting: Setting, by: Deviations, swing: float | None = None) -> float:
    """Rated force left where it is least, N, of the one gear of ``by``: infinity where there is no rating, minus
    infinity where the gear cannot be, or not move. ``swing``: deg to leg-up, if known."""
    swing = float(value_of(setting, by, SWING)[0]) if swing is None else float(swing)
    try:
        study = alone(setting.plan, by, swing)
        room = drive(study, *gear_and_stroke(study)).room
    except LinkageError:
        return -np.inf
    return np.inf if room is None else float(np.nanmin(room))
