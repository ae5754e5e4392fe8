"""Between which speeds the gear locks by itself, over the health of its springs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linkage.actuation.conditions import Condition
from linkage.extension.energy import energies, path, reserve
from linkage.extension.faller import Faller
from linkage.mechanism.model import Floats

HEALTHS, SPEEDS, CUTS, ROUNDS = 4, 9, 8, 2
"""Points of the curve on each side of the least health in the limits; speeds tried first; parts into which a bracket is
cut, and how often."""

LONG, SHORT = 48, 32
"""Steps of each fall: a hundredth of a joule is left."""

WEAKER = 0.3
"""How far below the least health of the limits the curve runs, to show how near the edge is."""

BEYOND = 1.5
"""How far the search goes, in greatest speeds of the study."""

UNKNOWN_SPEED = 60.0
"""m/s, searched where the study names no speed."""


@dataclass(frozen=True)
class Envelope:
    """``lowest`` and ``highest`` speed in m/s at each ``health``; NaN where the gear locks at none that was tried.
    They err to the safe side, by at most ``step``. ``searched``: greatest speed tried; a highest speed equal to it is
    a least value of the truth."""

    health: Floats
    lowest: Floats
    highest: Floats
    searched: float
    step: float
    temperature: float


def envelope(faller: Faller, closely: bool = True) -> Envelope:
    """At the study's coldest temperature, its emergency load factor and thrust. Without ``closely`` at the least health
    of the limits alone, which is the one that is judged."""
    limits, speeds, heat = faller.study.limits.spring_health, faller.study.speeds, faller.study.temperatures
    given = [v for v in (speeds.gear_operating, speeds.emergency_extension, speeds.stall_clean) if v]
    top = BEYOND * max(given) if given else UNKNOWN_SPEED
    weak, new = limits.ends(1.0, 1.0)
    worse, better = np.linspace(max(weak - WEAKER, 0.0), weak, HEALTHS), np.linspace(weak, new, HEALTHS)
    health = np.array(sorted({*worse, *better} if closely else [weak])) if faller.study.gear.spring else np.ones(1)
    way = path(faller, LONG, SHORT)

    def left(speed: Floats) -> Floats:
        """Reserve in J at speeds (healths, any)."""
        cases = [
            Condition(faller.entry.load_factor, float(v), faller.entry.thrust, float(h), heat.cold_c)
            for h, row in zip(health, speed, strict=True)
            for v in row
        ]
        return reserve(way, energies(faller, way, cases)).reshape(speed.shape)

    tried = np.tile(np.linspace(0.0, top, SPEEDS), (len(health), 1))
    locks = left(tried) > 0
    none = ~locks.any(axis=1)
    first, last = np.argmax(locks, axis=1), SPEEDS - 1 - np.argmax(locks[:, ::-1], axis=1)
    rows, step = np.arange(len(health)), top / (SPEEDS - 1) / CUTS**ROUNDS
    highest = _edge(left, tried[rows, last], tried[rows, np.minimum(last + 1, SPEEDS - 1)])
    lowest = np.zeros(len(health))
    if np.any(first > 0):
        lowest = _edge(left, tried[rows, first], tried[rows, np.maximum(first - 1, 0)])
    return Envelope(
        health, np.where(none, np.nan, lowest), np.where(none, np.nan, highest), top, float(step), heat.cold_c
    )


def _edge(left: Callable[[Floats], Floats], inside: Floats, outside: Floats) -> Floats:
    """The last speed that locks between one that does and one that does not (or the same one)."""
    cuts = np.linspace(0.0, 1.0, CUTS + 1)
    for _ in range(ROUNDS if np.any(inside != outside) else 0):
        tried = inside[:, None] + (outside - inside)[:, None] * cuts
        good = left(tried[:, 1:-1]) > 0
        steps = np.where(good.all(axis=1), CUTS - 1, np.argmin(good, axis=1))
        rows = np.arange(len(inside))
        inside, outside = tried[rows, steps], tried[rows, steps + 1]
    return inside
