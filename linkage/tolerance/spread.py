"""Monte Carlo: many gears of one drawing, each of pieces as made, judged like the drawn one.

Every batch has a seed of its own, spawned from one (`numpy.random.SeedSequence`), and always as many gears: the answer
depends on the seed and the number of samples alone, not on who does which batch.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
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
    sent = replace(setting, all_watches=())
    batches = [Batch(sent, way, s, n) for s, n in zip(seeds(seed, len(sizes)), sizes, strict=True)]
    done = gather(sampled, batches, executor, tell)
    return summed(setting, done.results, samples, seed)


def summed(setting: Setting, outcomes: Sequence[Outcome], wanted: int, seed: int) -> Spread:
    """All batches in one."""
    if not outcomes:
        raise DocumentError([Fault("--samples", "stopped before the first batch was done", "some patience")])
    every, drawn = joined(outcomes), _as_drawn(setting)
    asked = _asked(setting)
    least = asked[OFFSET].low if OFFSET in asked and np.isfinite(asked[OFFSET].low) else 0.0
    return Spread(
        seed=seed,
        wanted=wanted,
        samples=len(every.failure),
        statistics=tuple(_statistic(n, v, drawn[n], asked.get(n), every.failure) for n, v in every.values.items()),
        failures=Counter(reason for reason in every.failure if reason),
        locks=_reached(every, OFFSET, 0.0),
        locks_against=_reached(every, AGAINST, 0.0),
        above=_reached(every, OFFSET, least),
        above_against=_reached(every, AGAINST, least),
        least_offset=least,
        values=every.values,
    )


def joined(outcomes: Sequence[Outcome]) -> Outcome:
    """Batches one after the other."""
    values = {name: np.concatenate([o.values[name] for o in outcomes]) for name in outcomes[0].values}
    return Outcome(values, tuple(reason for o in outcomes for reason in o.failure))


def _as_drawn(setting: Setting) -> dict[str, float]:
    """Every result of the drawn gear, which has no play."""
    drawn = {name: float(v[0]) for name, v in judge(setting, setting.plan.none()).values.items()}
    return drawn | ({AGAINST: drawn[OFFSET]} if OFFSET in drawn else {})


def _asked(setting: Setting) -> dict[str, Criterion]:
    """What is asked of each result; of the offset also with play against the lock."""
    asked = {c.result: c for c in criteria(setting)}
    return asked | ({AGAINST: asked[OFFSET]} if OFFSET in asked else {})


def _reached(every: Outcome, name: str, least: float) -> Chance | None:
    """Chance of a gear that stands and has ``least`` mm or more of an offset, of 0 more; None without one."""
    if name not in every.values:
        return None
    good = every.values[name] > 0 if least == 0 else every.values[name] >= least
    stands = np.array([reason != NO_LOCK for reason in every.failure])
    return wilson(int(np.count_nonzero(good & stands)), len(every.failure))


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
