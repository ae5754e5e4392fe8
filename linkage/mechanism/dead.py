"""Dead points: places where a coefficient vanishes, found from its exact values and closed in on from both sides."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linkage.mechanism.model import Floats
from linkage.mechanism.roots import closed_in

ROUNDING = 1e-15
"""Driven values as near to each other are the same: below it, values of a coefficient are rounding."""


def dead_points(coefficient: Callable[[Floats], Floats], grid: Floats) -> Floats:
    """Driven values at which ``coefficient`` (a function of an array of driven values) changes sign on ``grid``.

    Each lies within the rounding of the true place. A touch without a change of sign between two samples is not seen:
    give a grid finer than the features of the mechanism. Values that are not finite are passed over, and so is a change
    of sign through infinity.
    """
    values = coefficient(grid)
    with np.errstate(invalid="ignore"):
        flips = np.flatnonzero(values[:-1] * values[1:] < 0)
    exact = grid[values == 0]
    if len(flips) == 0:
        return np.sort(exact)
    places = closed_in(coefficient, grid[flips], grid[flips + 1], values[flips], values[flips + 1], ROUNDING)
    vanishes = np.abs(coefficient(places)) <= np.maximum(np.abs(values[flips]), np.abs(values[flips + 1]))
    return np.sort(np.concatenate([exact, places[vanishes]]))
