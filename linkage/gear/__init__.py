"""Study -> Gear: trunnion, leg, brace, lock links, actuator, springs and doors as one mechanism, drawn locked."""

from linkage.gear.build import build
from linkage.gear.model import (
    BARREL,
    BRACE,
    CRANK,
    LEG,
    LOCK_LOWER,
    LOCK_UPPER,
    LOWER,
    ROD,
    SLIDER,
    UPPER,
    BodyPoint,
    BraceShape,
    Gear,
    GearPart,
    Locking,
    PointMass,
    Tie,
)
from linkage.gear.shape import LEAST_ARM, leg_sense, lock_position

__all__ = [
    "BARREL",
    "BRACE",
    "CRANK",
    "LEAST_ARM",
    "LEG",
    "LOCK_LOWER",
    "LOCK_UPPER",
    "LOWER",
    "ROD",
    "SLIDER",
    "UPPER",
    "BodyPoint",
    "BraceShape",
    "Gear",
    "GearPart",
    "Locking",
    "PointMass",
    "Tie",
    "build",
    "leg_sense",
    "lock_position",
]
