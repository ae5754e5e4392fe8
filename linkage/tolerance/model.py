"""What varies from one gear to the next of the same drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.tolerances import Tolerances
from linkage.mechanism.model import Complexes, Floats


@dataclass(frozen=True)
class Dimension:
    """One number of a piece. ``limit``: half range, in ``unit``; ``field``: what of the study states it."""

    name: str
    limit: float
    unit: str
    field: str


@dataclass(frozen=True)
class Deviations:
    """What ``n`` gears differ by from the drawing.

    ``sizes`` (n, dimensions) in the units of the dimensions. ``play`` (n, pins): where in its hole each pin rests, mm,
    as far as half its clearance: how far the hole of the second body lies from that of the first, seen from the
    airframe at pins on it, along the leg (real) and aft of it at pins on the leg, along and across the link else.
    """

    sizes: Floats
    play: Complexes

    @property
    def count(self) -> int:
        return int(self.sizes.shape[0])

    def part(self, rows: Any) -> Deviations:
        return Deviations(self.sizes[rows], self.play[rows])

    def __add__(self, other: Deviations) -> Deviations:
        return Deviations(self.sizes + other.sizes, self.play + other.play)


def drawn(dimensions: tuple[Dimension, ...], pins: int, tolerances: Tolerances, count: int, seed: Any) -> Deviations:
    """``count`` gears at random. ``seed``: a `numpy.random.SeedSequence`, or a number."""
    rng = np.random.default_rng(seed)
    limits = np.array([d.limit for d in dimensions])
    if tolerances.distribution == "normal":
        from scipy.special import ndtr, ndtri

        low = ndtr(-tolerances.sigmas)
        sizes = ndtri(low + (1.0 - 2.0 * low) * rng.random((count, len(limits)))) / tolerances.sigmas
    else:
        sizes = rng.uniform(-1.0, 1.0, (count, len(limits)))
    new, worn = tolerances.pin_clearance_new, tolerances.pin_clearance_worn
    wear = {"new": (new, new), "worn": (worn, worn), "any": (new, worn)}[tolerances.wear]
    clearance = rng.uniform(*wear, (count, pins)) if wear[0] < wear[1] else np.full((count, pins), wear[0])
    return Deviations(sizes * limits, 0.5 * clearance * np.exp(2j * np.pi * rng.random((count, pins))))
