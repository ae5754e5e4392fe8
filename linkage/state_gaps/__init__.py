"""Guaranteed gaps in every state of the study, and how far the strut may be pressed before a required gap breaks."""

from linkage.state_gaps.review import StateGap, StateReview, state_review
from linkage.state_gaps.strut import PRESSED_WITHIN, StrutLimit
from linkage.state_gaps.worst import required_in

__all__ = ["PRESSED_WITHIN", "StateGap", "StateReview", "StrutLimit", "required_in", "state_review"]
