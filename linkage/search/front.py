"""The front of a search: designs that no other beats in every measure, their ranking, and some well spread ones.

Four measures count (`COUNTED`, defined in `linkage.search.screened`): least gap beyond the required one; greatest
actuator force; mass moment by which the gear moves the CG; lock quality. Lock quality is what the actuator may lack of
its last travel before the knee is on centre, beyond the least that the limits ask for (common practice, no source). Of
two designs neither of which beats the other the weights of the wishes decide; all of them 1 is an assumption of this
tool, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.wanted import Weights
from linkage.mechanism.model import Floats
from linkage.search.screened import FORCE, LOCK, MARGIN, MEASURES, MOMENT

COUNTED = (MARGIN, FORCE, MOMENT, LOCK)

ENDLESS = 1e9
"""Counts as the gap to nothing, mm, so that scores stay finite."""

Indices = NDArray[np.int64]


def merits(measures: Mapping[str, Floats]) -> Floats:
    """(designs, measures) in the order of `COUNTED`, signed so that more is better."""
    values = [MEASURES[name] * np.asarray(measures[name], dtype=np.float64) for name in COUNTED]
    return np.clip(np.stack(values, axis=1), -ENDLESS, ENDLESS)


def non_dominated(values: Floats) -> Indices:
    """Rows of (designs, measures), more is better, that no other row equals or beats in every measure; of equal rows
    the first. In the order of the rows."""
    by_sum = np.argsort(-values.sum(axis=1), kind="stable")  # whatever beats a row comes before it
    front = np.empty((0, values.shape[1]))
    chosen: list[int] = []
    for row in by_sum:
        if not np.any(np.all(front >= values[row], axis=1)):
            front = np.concatenate([front, values[row : row + 1]])
            chosen.append(int(row))
    return np.array(sorted(chosen), dtype=np.int64)


@dataclass(frozen=True)
class Scale:
    """``worst`` and ``best`` of each measure among the designs that are compared; ``weights`` add up to 1."""

    worst: Floats
    best: Floats
    weights: Floats

    def parts(self, values: Floats) -> Floats:
        """Each measure as a part of the way from worst to best; 1 where all are equal."""
        span = self.best - self.worst
        return np.where(span > 0, (values - self.worst) / np.where(span > 0, span, 1.0), 1.0)

    def score(self, values: Floats) -> Floats:
        """(designs,): 1 for what is best in every measure that has a weight, 0 for what is worst in all."""
        return np.asarray(self.parts(values) @ self.weights)


def scale(values: Floats, weights: Weights) -> Scale:
    """The scale of these designs. With all weights 0 every measure counts the same."""
    wanted = np.array([getattr(weights, name) for name in COUNTED], dtype=np.float64)
    wanted = wanted if wanted.any() else np.ones(len(COUNTED))
    return Scale(values.min(axis=0), values.max(axis=0), wanted / wanted.sum())


def thinned(values: Floats, by: Scale, n: int) -> Indices:
    """At most ``n`` of the designs, the best first: the highest score, the best of each measure that has a weight, then
    always the one farthest from those chosen, measures taken as parts of their ranges."""
    score, parts = by.score(values), by.parts(values) * (by.weights > 0)
    if len(values) <= n:
        return ranked(score)
    firsts = [int(score.argmax()), *(int(parts[:, k].argmax()) for k in np.flatnonzero(by.weights > 0))]
    chosen = list(dict.fromkeys(firsts))[:n]
    apart = np.min([np.linalg.norm(parts - parts[c], axis=1) for c in chosen], axis=0)
    while len(chosen) < n:
        apart[chosen] = -1.0
        far = int(apart.argmax())
        chosen.append(far)
        apart = np.minimum(apart, np.linalg.norm(parts - parts[far], axis=1))
    kept = np.array(chosen, dtype=np.int64)
    return kept[ranked(score[kept])]


def ranked(score: Floats) -> Indices:
    """The best first, equals in their order."""
    return np.argsort(-score, kind="stable")
