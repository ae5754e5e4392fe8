"""Ground loads on the locked gear: every condition, every loading, down to the pins on the airframe."""

from linkage.loads.buckling import Column
from linkage.loads.conditions import Condition, Vertical
from linkage.loads.envelope import ConditionLoad, Governing
from linkage.loads.ground import GroundLoads, ground_loads
from linkage.loads.leg import LegLoads
from linkage.loads.locked import LockedLoad, brace_axial, locked_load, stop_force
from linkage.loads.statics import ClosureError, PointLoad

__all__ = [
    "ClosureError",
    "Column",
    "Condition",
    "ConditionLoad",
    "Governing",
    "GroundLoads",
    "LegLoads",
    "LockedLoad",
    "PointLoad",
    "Vertical",
    "brace_axial",
    "ground_loads",
    "locked_load",
    "stop_force",
]
