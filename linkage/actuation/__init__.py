"""Forces over the stroke: gravity alone as the plain answer, and everything together as the drive has to take it."""

from linkage.actuation.gravity import (
    Actuation,
    Push,
    actuation,
    driving,
    moment_shift,
    past_lock,
    push_by_work,
    useful,
    weights,
)

__all__ = [
    "Actuation",
    "Push",
    "actuation",
    "driving",
    "moment_shift",
    "past_lock",
    "push_by_work",
    "useful",
    "weights",
]
