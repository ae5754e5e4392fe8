"""What a batch of candidates leaves: those that passed with what was measured of them, and a count for each refusal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import SeedSequence
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.mechanism.model import Floats
from linkage.obstacles import Obstacle
from linkage.search.candidates import Candidates, joined

MARGIN, FORCE, MOMENT, LOCK, TRANSMISSION = "margin", "force", "moment", "lock", "transmission"
MEASURES = {MARGIN: 1.0, FORCE: -1.0, MOMENT: -1.0, LOCK: 1.0, TRANSMISSION: 1.0}
"""+1 where more is better, -1 where less is. ``margin``: least gap beyond the required one at the poses looked at, mm;
``force``: greatest actuator force without friction, N; ``moment``: mass moment by which the gear moves the CG, kg mm
along FS, size; ``lock``: actuator travel from dead centre to lock beyond the least that the limits ask for, or where it
is driven back there the reserve left beyond it, mm; ``transmission``: least transmission angle, deg."""

SAMPLED, PASSED, POSED = "sampled", "passed", "looked at pose by pose"


@dataclass(frozen=True)
class Batch:
    """A small input of `linkage.search.screen_batch`: ``count`` candidates of one branch from its own ``seed``.

    ``number``: its place among the batches.
    """

    study: Study
    items: tuple[Obstacle, ...]
    seed: SeedSequence
    number: int
    count: int
    branch: int


@dataclass(frozen=True)
class Screened:
    """``measures``: name of `MEASURES` -> (designs,). ``counts``: reason -> how many; reasons and `PASSED` add up to
    `SAMPLED`; ``candidates`` are those that passed, or the best of them. `POSED` is counted beside.
    ``order``: (designs,) a number of its own for each candidate of the search."""

    candidates: Candidates
    measures: Mapping[str, Floats]
    counts: Mapping[str, int]
    order: NDArray[np.int64]

    def take(self, which: Any) -> Screened:
        """Some of them, by index or mask; the counts stay."""
        chosen = {name: value[which] for name, value in self.measures.items()}
        return Screened(self.candidates.take(which), chosen, self.counts, self.order[which])

    @property
    def refused(self) -> dict[str, int]:
        """Reason -> how many, the most frequent first."""
        found = {k: v for k, v in self.counts.items() if k not in (SAMPLED, PASSED, POSED)}
        return dict(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))


def best(screened: Screened, keep: int) -> Screened:
    """Those among the ``keep`` best in any measure, in the order in which they were found. Equals go by that order, so
    the answer does not depend on how a search was cut into pieces."""
    chosen: set[int] = set()
    for name, sign in MEASURES.items():
        rank = np.lexsort((screened.order, -sign * screened.measures[name]))
        chosen.update(rank[:keep].tolist())
    rows = np.array(sorted(chosen, key=lambda i: int(screened.order[i])), dtype=np.int64)
    return screened.take(rows)


def merge(parts: Sequence[Screened]) -> Screened:
    """All parts as one, in order: counts added, every candidate kept. Merging step by step gives the same."""
    counts: dict[str, int] = {}
    for part in parts:
        for reason, number in part.counts.items():
            counts[reason] = counts.get(reason, 0) + number
    measures = {name: np.concatenate([np.empty(0), *(p.measures[name] for p in parts)]) for name in MEASURES}
    order = np.concatenate([np.empty(0, np.int64), *(p.order for p in parts)])
    return Screened(joined([p.candidates for p in parts]), measures, counts, order)


def batches(study: Study, items: Sequence[Obstacle], count: int, seed: int, size: int, branches: int) -> list[Batch]:
    """``count`` candidates in batches of at most ``size``, each with its own seed; the branches take turns."""
    pieces = -(-count // size)
    seeds = SeedSequence(seed).spawn(pieces)
    return [
        Batch(study, tuple(items), each, n, min(size, count - n * size), n % branches) for n, each in enumerate(seeds)
    ]
