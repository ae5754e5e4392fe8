"""Proved bounds between samples: the groups' own formulas run on spans of the driven value instead of numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linkage.mechanism.model import GROUND, Drawn, Floats, column
from linkage.mechanism.motion import assemble
from linkage.mechanism.plan import Plan, needed
from linkage.plane.spans import Span, box


def chord_slack(plan: Plan, lo: Floats, hi: Floats, points: Sequence[tuple[str, Drawn]]) -> Floats:
    """Bound on the distance between a point's place and the straight run between its places at the ends of a cell.

    For every cell [lo, hi] of the driven value and all the given points and designs together: (hi - lo)^2/8 * sup|X''|,
    the classical remainder of linear interpolation, with the supremum enclosed by interval arithmetic. Infinite where
    the enclosure says nothing (a group about to open inside the cell). Shape (cells,). Raises ``ValueError`` for a
    point on a body without a closed form.
    """
    moving = [(body, column(z)) for body, z in points if body != GROUND]
    part = needed(plan, [body for body, _ in moving])
    worst = np.zeros((1, len(lo)))
    with np.errstate(invalid="ignore"):
        state = assemble(part, Span(np.atleast_2d(lo), np.atleast_2d(hi)), order=2)
        for body, z in moving:
            worst = np.maximum(worst, box(state.acceleration(body, z)).most())
        bound = (hi - lo) ** 2 / 8.0 * np.max(worst, axis=0)
    return np.where(np.isnan(bound), np.inf, bound)
