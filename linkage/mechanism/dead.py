"""Dead points: places where a coefficient vanishes, found from its exact values and closed in on by bisection."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linkage.mechanism.model import Floats

BISECTIONS = 60


def dead_points(coefficient: Callable[[Floats], Floats], grid: Floats) -> Floats:
    """Driven values at which ``coefficient`` (a function of an array of driven values) changes sign on ``grid``.

    Each lies within the rounding of the true place. A touch without a change of sign between two samples is not seen:
    give a grid finer than the features of the mechanism. Values that are not finite are passed over.
    """
    values = coefficient(grid)
    with np.errstate(invalid="ignore"):
        flips = np.flatnonzero(values[:-1] * values[1:] < 0)
    exact = grid[values == 0]
    lo, hi, sign = grid[flips].copy(), grid[flips + 1].copy(), np.sign(values[flips])
    for _ in range(BISECTIONS if len(flips) else 0):
        mid = 0.5 * (lo + hi)
        same = np.sign(coefficient(mid)) == sign
        lo, hi = np.where(same, mid, lo), np.where(same, hi, mid)
    return np.sort(np.concatenate([exact, 0.5 * (lo + hi)]))
