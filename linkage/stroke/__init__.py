"""Gear -> Stroke: the whole retraction from the lock to leg-up, on one body's rotation as coordinate.

Where the lock is over centre the leg angle is no coordinate: it is double-valued there, because the leg over-swings
until dead centre. `linkage.gear.Gear.driven` says which body's rotation it is instead.
"""

from linkage.stroke.drive import lever_at, pushed_pivot
from linkage.stroke.motion import StrokeEndsError, actuator_rate, dead_centres_of, motion_at, placed, swing_at
from linkage.stroke.table import Stroke, gear_and_stroke, offset_of, run, stroke_of

__all__ = [
    "Stroke",
    "StrokeEndsError",
    "actuator_rate",
    "dead_centres_of",
    "gear_and_stroke",
    "lever_at",
    "motion_at",
    "offset_of",
    "placed",
    "pushed_pivot",
    "run",
    "stroke_of",
    "swing_at",
]
