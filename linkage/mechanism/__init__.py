"""Planar mechanisms as bodies, pins and slides: order of assembly, motion with exact coefficients, proofs, forces.

Nothing here knows what a mechanism is for. Lengths, forces and the driven value are in any consistent units; angles are
radians, positive anticlockwise.
"""

from linkage.mechanism.dead import dead_points
from linkage.mechanism.enclosure import chord_slack
from linkage.mechanism.model import GROUND, Complexes, Drawn, Floats, Joint, Mechanism, Pin, Slide
from linkage.mechanism.motion import Motion, solve, trace
from linkage.mechanism.plan import Plan, plan
from linkage.mechanism.responses import Responses, responses
from linkage.mechanism.statics import Balance, Load, balance, effort_by_work, reactions, travel_rate

__all__ = [
    "GROUND",
    "Balance",
    "Complexes",
    "Drawn",
    "Floats",
    "Joint",
    "Load",
    "Mechanism",
    "Motion",
    "Pin",
    "Plan",
    "Responses",
    "Slide",
    "balance",
    "chord_slack",
    "dead_points",
    "effort_by_work",
    "plan",
    "reactions",
    "responses",
    "solve",
    "trace",
    "travel_rate",
]
