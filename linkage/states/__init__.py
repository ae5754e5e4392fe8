"""Study -> cases: what shape the gear's parts have, and where the engine's items are, in every state of the study."""

from linkage.states.cases import NOMINAL, Case, cases
from linkage.states.engine import Corner, at_corner, corners

__all__ = ["NOMINAL", "Case", "Corner", "at_corner", "cases", "corners"]
