"""Which dimension moves which result: central differences of the whole family, and the worst corner they point at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.mechanism.model import Complexes, Floats
from linkage.tolerance.assembly import Blueprint
from linkage.tolerance.model import Deviations

STEP = 1e-3
"""Of a unit of each dimension (mm; a part of a force; kg): far above rounding, far below a tolerance."""


def steps_of(plan: Blueprint) -> Deviations:
    """One step up in every direction, then one step down: every dimension, then play along and across at every pin."""
    k, m = len(plan.dimensions), len(plan.pins)
    sizes = np.zeros((k + 2 * m, k))
    sizes[:k] = STEP * np.eye(k)
    play = np.zeros((k + 2 * m, m), complex)
    play[k : k + m] = STEP * np.eye(m)
    play[k + m :] = 1j * STEP * np.eye(m)
    return Deviations(np.concatenate([sizes, -sizes]), np.concatenate([play, -play]))


@dataclass(frozen=True)
class Slopes:
    """Of one result: per unit of every dimension (dimensions,), and per mm of play at every pin, along (real) and
    across (imaginary) (pins,): the direction in which it grows fastest."""

    sizes: Floats
    play: Complexes


def slopes_from(plan: Blueprint, values: Floats) -> Slopes:
    """Slopes of a result from its values at `steps_of`."""
    k, m = len(plan.dimensions), len(plan.pins)
    half = k + 2 * m
    found = (values[:half] - values[half:]) / (2.0 * STEP)
    return Slopes(found[:k], found[k : k + m] + 1j * found[k + m :])
