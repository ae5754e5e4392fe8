"""Monte Carlo: many gears of one drawing, each of pieces as made, judged like the drawn one.

Every batch has a seed of its own, spawned from one (`numpy.random.SeedSequence`), and always as many gears: the answer
depends on the seed and the number of samples alone, not on who does which batch.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.crew import gather, seeds
from linkage.errors import DocumentError, Fault
from linkage.mechanism.model import Floats
from linkage.tolerance.assembly import assemble
from linkage.tolerance.criteria import Criterion, criteria
from linkage.tolerance.followed import OFFSET, Setting
from linkage.tolerance.model import Deviations, drawn
from linkage.tolerance.results import NO_LOCK, Outcome, judge
from linkage.tolerance.search import against_play

BATCH = 4096
"""Gears worked on at a time: fits the caches."""
LEAST_SAMPLES = 100
"""Fewer say nothing of a probability."""
AGAINST = "over-centre offset left, play against the lock, mm"
PERCENT = (0.1, 2.5, 50.0, 97.5, 99.9)
Z95 = 1.959963984540054
"""Standard normal deviate of a two-sided 95 % interval."""

Tell = Callable[[int, int, float], None]


@dataclass(frozen=True)
class Chance:
    """``count`` of ``of`` gears; ``low`` and ``high``: Wilson's 95 % interval of the probability."""

    count: int
    of: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.count / self.of


@dataclass(frozen=True)
class Statistic:
    """One result over the gears that have it. ``percentiles`` belong to `PERCENT`. ``short``: gears that miss what is
    asked, those that fail among them; None where nothing is asked."""

    name: str
    drawn: float
    mean: float
    deviation: float
    least: float
    greatest: float
    percentiles: tuple[float, ...]
    criterion: Criterion | None
    short: Chance | None


@dataclass(frozen=True)
class Spread:
    """``wanted``: samples asked for, ``samples``: done. ``locks``: the knee is past its line, pins resting anywhere;
    ``locks_against``: with all play taken up against the lock; ``above`` and ``above_against``: past it by the limit of
    the study. None without an over-centre pair. ``failures``: gears that cannot be, by reason. ``values``: every
    sample, in order."""

    seed: int
    wanted: int
    samples: int
    statistics: tuple[Statistic, ...]
    failures: Mapping[str, int]
    locks: Chance | None
    locks_against: Chance | None
    above: Chance | None
    above_against: Chance | None
    least_offset: float
    values: Mapping[str, Floats]

    def statistic(self, name: str) -> Statistic:
        return next(s for s in self.statistics if s.name == name)


def wilson(count: int, of: int, z: float = Z95) -> Chance:
    """Interval of a probability from a count: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (from memory)."""
    p = count / of
    middle = p + z * z / (2 * of)
    half = z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of))
    scale = 1 + z * z / of
    low = 0.0 if count == 0 else (middle - half) / scale
    return Chance(count, of, low, 1.0 if count == of else (middle + half) / scale)


@dataclass(frozen=True)
class Batch:
    """So many gears from a seed of their own; ``way``: direction (pins,) that takes the offset away, unit numbers."""

    setting: Setting
    way: tuple[complex, ...]
    seed: Any
    count: int


def sampled(batch: Batch) -> Outcome:
    """Judge one batch."""
    plan = batch.setting.plan
    by = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, batch.count, batch.seed)
    found = judge(batch.setting, by)
    if OFFSET not in found.values:
        return found
    against = assemble(plan, Deviations(by.sizes, np.abs(by.play) * np.array(batch.way))).offset
    return Outcome(found.values | {AGAINST: np.asarray(against)}, found.failure)


def spread(setting: Setting, samples: int, seed: int, executor: Any = None, tell: Tell | None = None) -> Spread:
    """Judge ``samples`` gears. ``executor`` and ``tell``: see `linkage.crew.gather`."""
    if samples < LEAST_SAMPLES:
        raise DocumentError([Fault("--samples", str(samples), f"at least {LEAST_SAMPLES}")], "command line")
    if seed < 0:
        raise DocumentError([Fault("--seed", str(seed), "0 or above")], "command line")
    way = against_play(setting)
    sizes = [min(BATCH, samples - start) for start in range(0, samples, BATCH)]
    batches = [Batch(setting, way, s, n) for s, n in zip(seeds(seed, len(sizes)), sizes, strict=True)]
    done = gather(sampled, batches, executor, tell)
    return summed(setting, done.results, samples, seed)


def summed(setting: Setting, outcomes: Sequence[Outcome], wanted: int, seed: int) -> Spread:
    """All batches in one."""
    if not outcomes:
        raise DocumentError([Fault("--samples", "stopped before the first batch was done", "some patience")])
    values = {name: np.concatenate([o.values[name] for o in outcomes]) for name in outcomes[0].values}
    failure = [reason for o in outcomes for reason in o.failure]
    count = len(failure)
    as_drawn = judge(setting, setting.plan.none()).values
    as_drawn |= {AGAINST: as_drawn[OFFSET]} if OFFSET in as_drawn else {}
    asked = {c.result: c for c in criteria(setting)}
    offset = asked.get(OFFSET)
    least = offset.low if offset is not None and np.isfinite(offset.low) else 0.0
    if offset is not None:
        asked[AGAINST] = offset
    stands = np.array([reason != NO_LOCK for reason in failure])

    def chance(name: str, above: float) -> Chance | None:
        if name not in values:
            return None
        good = values[name] > 0 if above == 0 else values[name] >= above
        return wilson(int(np.count_nonzero(good & stands)), count)

    return Spread(
        seed=seed,
        wanted=wanted,
        samples=count,
        statistics=tuple(_statistic(n, v, float(as_drawn[n][0]), asked.get(n), failure) for n, v in values.items()),
        failures=Counter(reason for reason in failure if reason),
        locks=chance(OFFSET, 0.0),
        locks_against=chance(AGAINST, 0.0),
        above=chance(OFFSET, least),
        above_against=chance(AGAINST, least),
        least_offset=least,
        values=values,
    )


def _statistic(
    name: str, values: Floats, as_drawn: float, criterion: Criterion | None, failure: Sequence[str]
) -> Statistic:
    known = values[np.isfinite(values)]
    if not known.size:
        known = np.full(1, np.nan)
    short = None
    if criterion is not None:
        fails = (criterion.margin(values) < 0) | np.array([bool(reason) for reason in failure])
        short = wilson(int(np.count_nonzero(fails)), len(values))
    marks = tuple(float(v) for v in np.percentile(known, PERCENT))
    return Statistic(
        name,
        as_drawn,
        float(known.mean()),
        float(known.std()),
        float(known.min()),
        float(known.max()),
        marks,
        criterion,
        short,
    )
