"""What would make a gear reach leg-up that stops short of it."""

from __future__ import annotations

import numpy as np

from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.errors import LinkageError
from linkage.gear import build
from linkage.stroke.ends import driven_up
from linkage.stroke.family import driven_up_of

FURTHEST_PERCENT, HALVINGS = 60, 20
"""How much longer or shorter a link is tried, and how often the last percent is halved."""

LENGTH = "gear.brace.upper_link"


def remedy(study: Study) -> str:
    """The upper link nearest in length with which the gear would reach leg-up, if one within 60 % does.

    The closed form says at once for all lengths which can close there; only those are then moved all the way.
    """
    length = study.gear.brace.upper_link
    if length is None or study.gear.lock_link is not None:
        return ""
    steps = [(sign, step) for step in range(1, FURTHEST_PERCENT + 1) for sign in (1.0, -1.0)]
    lengths = length * np.array([1 + sign * step / 100 for sign, step in steps])
    for i in np.flatnonzero(_may_reach(study, lengths)):
        far, (sign, step) = float(lengths[i]), steps[i]
        if _reaches(study, far):
            near = length * (1 + sign * (step - 1) / 100)
            for _ in range(HALVINGS):
                mid = 0.5 * (near + far)
                near, far = (near, mid) if _reaches(study, mid) else (mid, far)
            return f"; the {'shortest' if sign > 0 else 'longest'} upper_link that reaches is {far:.1f} mm"
    return ""


def _may_reach(study: Study, lengths: np.ndarray) -> np.ndarray:
    """Which lengths close in the lock and with the leg up: (lengths,); what lies between is not looked at."""
    try:
        return np.isfinite(driven_up_of(build(varied(study, {LENGTH: lengths}))))
    except LinkageError:
        return np.ones(len(lengths), dtype=bool)


def _reaches(study: Study, upper_link: float) -> bool:
    try:
        driven_up(build(varied(study, {LENGTH: upper_link})))
    except LinkageError:
        return False
    return True
