"""Forces over the stroke: gravity alone as the plain answer, and everything together as the drive has to take it."""

from linkage.actuation.gravity import Actuation, actuation, driving, moment_shift, weights

__all__ = ["Actuation", "actuation", "driving", "moment_shift", "weights"]
