"""A study at a glance: what a designer wants to see while a pin is in hand, in some 15 ms of processor time."""

from linkage.glance.held import Held
from linkage.glance.judge import LEFT_OUT
from linkage.glance.look import glance
from linkage.glance.model import Glance
from linkage.glance.moved import moved

__all__ = ["LEFT_OUT", "Glance", "Held", "glance", "moved"]
