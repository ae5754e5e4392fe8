"""Better designs between the sampled ones: differential evolution over the numbers from which candidates are laid out.

Whole generations are screened at once; a refusal is a wall. scipy.optimize.differential_evolution; the method: R. Storn
and K. Price, J. Global Optimization 11 (1997), 341-359 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.random import SeedSequence

from linkage.document.study import Study
from linkage.mechanism.model import Floats
from linkage.obstacles import Obstacle
from linkage.search.front import Scale, merits
from linkage.search.sampling import DIMENSIONS, Spread, laid, numbers_of
from linkage.search.screen import screen
from linkage.search.screened import MARGIN, Batch, Screened

GENERATIONS = 40
NEAR = 0.05
"""Part of each range within which the first generation lies around the designs that it starts from."""

WALL = 1e3
"""Score of a refused design, far beyond any other."""


@dataclass(frozen=True)
class Climb:
    """One refinement. ``starts``: (designs, `DIMENSIONS`) numbers of the designs to begin from, of one ``branch``;
    ``size``: designs in a generation; ``number``: a place of its own for what it finds; ``room``: margin by the lattice
    that it must keep, mm."""

    study: Study
    items: tuple[Obstacle, ...]
    starts: Floats
    branch: int
    scale: Scale
    seed: SeedSequence
    size: int
    number: int
    room: float


def climbed(climb: Climb) -> Screened:
    """The last generation that passed, screened."""
    from scipy.optimize import differential_evolution

    solver: Any = differential_evolution
    rng = np.random.default_rng(climb.seed)
    result = solver(
        _height,
        [(0.0, 1.0)] * DIMENSIONS,
        args=(climb,),
        init=_around(climb, rng),
        maxiter=GENERATIONS,
        tol=1e-4,
        rng=rng,
        polish=False,
        vectorized=True,
        updating="deferred",
    )
    return _passed(climb, np.vstack([result.x, result.population]))


def _around(climb: Climb, rng: np.random.Generator) -> Floats:
    """The first generation: the starts, and points near them."""
    more = climb.starts[rng.integers(len(climb.starts), size=max(climb.size - len(climb.starts), 5))]
    near = np.clip(more + rng.uniform(-NEAR, NEAR, more.shape), 0.0, 1.0)
    return np.vstack([climb.starts, near])


def _height(columns: Floats, climb: Climb) -> Floats:
    """Score of each column (`DIMENSIONS`, designs), negative: less is better."""
    numbers = columns.T
    found = _passed(climb, numbers)
    height = np.full(len(numbers), WALL)
    if len(found.candidates):
        at = (found.order & 0xFFFFFFFF).astype(np.int64)
        height[at] = -climb.scale.score(merits(found.measures))
        height[at[found.measures[MARGIN] < climb.room]] = WALL
    return height


def _passed(climb: Climb, numbers: Floats) -> Screened:
    laid_out = laid(climb.study, Spread(np.clip(numbers, 0.0, 1.0)), climb.branch)
    return screen(climb.study, climb.items, laid_out, climb.number)


def start_of(batch: Batch, place: int) -> Floats:
    """Numbers from which one candidate of a batch was laid out."""
    return np.asarray(numbers_of(batch.seed, batch.count)[place])


def emphases(scale: Scale) -> list[Scale]:
    """The weights as wished, then each measure that has one counted more than all others together."""
    found = [scale]
    for k in np.flatnonzero(scale.weights > 0):
        weights = scale.weights.copy()
        weights[k] += 1.5 * weights.sum()
        found.append(replace(scale, weights=weights / weights.sum()))
    return found
