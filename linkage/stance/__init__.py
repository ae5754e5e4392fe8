"""How the aircraft stands: fixed ground states, how it settles on springs, angles and clearances of both."""

from linkage.stance.settled import Settled, SettledRange, settled_range
from linkage.stance.standing import Clearance, Standing, standing
from linkage.stance.states import Ground, axle_at, check_mains, flat, ground, grounds
from linkage.stance.tyre import TyreCheck, tyre_check

__all__ = [
    "Clearance",
    "Ground",
    "Settled",
    "SettledRange",
    "Standing",
    "TyreCheck",
    "axle_at",
    "check_mains",
    "flat",
    "ground",
    "grounds",
    "settled_range",
    "standing",
    "tyre_check",
]
