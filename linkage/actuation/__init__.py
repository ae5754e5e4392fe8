"""Forces over the stroke: gravity alone as the plain answer, and everything together as the drive has to take it."""

from linkage.actuation.gravity import (
    Actuation,
    Push,
    actuation,
    moment_shift,
    push_by_work,
    useful,
    useful_at,
    weights,
)

__all__ = ["Actuation", "Push", "actuation", "moment_shift", "push_by_work", "useful", "useful_at", "weights"]
