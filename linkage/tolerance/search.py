"""Worst corners of the tolerance box, and the worst way for play to lie: searched on the exact gears."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linkage.mechanism.model import Complexes, Floats
from linkage.tolerance.differences import Slopes, slopes_from, steps_of
from linkage.tolerance.followed import OFFSET, Setting
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import value_of

DIRECTIONS = np.exp(2j * np.pi * np.arange(48) / 48)
"""Ways in which a pin may rest in its hole that are tried; between them a result changes by at most 0.2 % of what
that pin does (1 - cos of half a step)."""
FAN = np.exp(2j * np.pi / 48 * np.arange(-16, 17) / 16)
"""Ways to either side of the best of them that are tried then; between those it is 0.001 %."""
ROUNDS = 40
"""Most steps of a search; each one moves to the best neighbour."""
VERTICES = 12
"""Dimensions, the strongest first, whose corners are all tried: 2^12 gears."""
NOTHING = 1e-9
"""mm per mm; play with a lesser slope does nothing."""
FINE = 0.05
"""mm of clearance at which a slope of play is taken."""


@dataclass(frozen=True)
class Corner:
    """The worst gear found for one result. ``value``: really reached by a gear of the tolerance box, minus
    infinity where one there cannot be; ``linear``: what
    slopes alone would say; ``by``: its deviations (one gear); ``moved``: by dimension, its deviation in its own unit
    and what that takes away to first order, the strongest first; ``tried``: corners all tried; ``steps``: by which the
    search moved away from the linear corner."""

    result: str
    drawn: float
    value: float
    linear: float
    by: Deviations
    moved: tuple[tuple[str, float, float], ...]
    tried: int
    steps: int


def slopes(setting: Setting, result: str, at: Deviations | None = None) -> Slopes:
    """Of one result at the drawn gear, or at one other, by central differences."""
    both = steps_of(setting.plan) + (setting.plan.none() if at is None else at)
    return slopes_from(setting.plan, value_of(setting, both, result))


def worst_play(setting: Setting, result: str, sizes: Floats, reach: Floats) -> Complexes:
    """Where each pin rests (pins,), mm, for the result to be least: ``reach`` (pins,) from the middle of each hole.

    One pin after the other tries every direction, the others staying where they are, until none moves any more; then
    the same again between the directions beside its own.
    """
    live = np.flatnonzero(reach > 0)
    play, best = np.zeros(len(reach), complex), np.inf
    for fan in (DIRECTIONS, FAN):
        for _ in range(ROUNDS):
            here = np.ones(len(live)) if fan is DIRECTIONS else play[live] / reach[live]
            chosen = _turned(setting, result, sizes, play, best, dict(zip(live, reach[live] * here, strict=True)), fan)
            value = float(_worst_first(setting, Deviations(sizes[None, :], chosen[None, :]), result)[0])
            if not value < best:
                break
            play, best = chosen, value
    return play


def _turned(
    setting: Setting, result: str, sizes: Floats, play: Complexes, best: float, arms: dict[int, complex], fan: Complexes
) -> Complexes:
    """``play`` (pins,) with each pin of ``arms`` turned to the best of a fan of directions from its arm, if that alone
    is better than ``best``."""
    tries = np.repeat(play[None, :], max(len(arms) * len(fan), 1), axis=0)
    for row, (i, arm) in enumerate(arms.items()):
        tries[row * len(fan) : (row + 1) * len(fan), i] = arm * fan
    found = _worst_first(setting, Deviations(np.repeat(sizes[None, :], len(tries), axis=0), tries), result)
    chosen = play.copy()
    for row, (i, arm) in enumerate(arms.items()):
        own = found[row * len(fan) : (row + 1) * len(fan)]
        if own.min() < best:
            chosen[i] = arm * fan[int(own.argmin())]
    return chosen


def against_play(setting: Setting) -> tuple[complex, ...]:
    """Direction in which play at each pin takes the offset away, unit numbers; 0 where it does nothing."""
    plan = setting.plan
    if plan.gear.locking is None:
        return tuple(0j for _ in plan.pins)
    reach = np.full(len(plan.pins), 0.5 * FINE)
    return tuple(complex(z) for z in worst_play(setting, OFFSET, plan.none().sizes[0], reach) / (0.5 * FINE))


def corner(setting: Setting, result: str) -> Corner:
    """The least value of a result over the tolerance box, clearances worn to their limit. Of a gap, over every place
    that may be its least, each searched for itself: each is a smooth function of the dimensions.

    Slopes choose a corner; it is evaluated exactly, and left for a better neighbour as long as there is one (any single
    dimension at its other end, any pin in any other direction). Then all corners of the strongest dimensions are tried.
    What is returned is really reached; that nothing in the box is worse is not proved.
    """
    places = [w for w in setting.watches if w.result == result]
    each = [replace(setting, watches=(w,)) for w in places] or [setting]
    drawn = float(value_of(setting, setting.plan.none(), result)[0])
    return min((_corner(one, result, drawn) for one in each), key=lambda c: c.value)


def _corner(setting: Setting, result: str, drawn: float) -> Corner:
    plan = setting.plan
    limits = np.array([d.limit for d in plan.dimensions])
    reach = np.full(len(plan.pins), 0.5 * plan.study.tolerances.pin_clearance_worn)
    both = slopes(setting, result)
    slope = both.sizes
    reach = np.where(np.abs(both.play) > NOTHING, reach, 0.0)
    sizes = np.where(slope > 0, -limits, limits)
    linear_sizes = -float(np.nansum(np.abs(slope) * limits))
    play = worst_play(setting, result, sizes, reach)
    by, steps = _descend(setting, result, sizes, play, limits)
    by, tried = _vertices(setting, result, by, np.abs(slope) * limits)
    played = Deviations(plan.none().sizes, by.play)
    value, own = (float(_worst_first(setting, d, result)[0]) for d in (by, played))
    effects = [(d.name, float(x), float(g * x)) for d, x, g in zip(plan.dimensions, by.sizes[0], slope, strict=True)]
    moved = sorted((e for e in effects if abs(e[2]) > 1e-6), key=lambda e: e[2])
    return Corner(result, drawn, value, own + linear_sizes, by, tuple(moved), tried, steps)


def _worst_first(setting: Setting, by: Deviations, result: str) -> Floats:
    """Values of gears, minus infinity where one cannot be: nothing is worse."""
    found = value_of(setting, by, result)
    return np.where(np.isnan(found), -np.inf, found)


def _descend(setting: Setting, result: str, sizes: Floats, play: Complexes, limits: Floats) -> tuple[Deviations, int]:
    """From a corner to the best neighbour, as long as that is worse still."""
    live = np.flatnonzero(limits > 0)
    here = Deviations(sizes[None, :], play[None, :])
    value = float(_worst_first(setting, here, result)[0])
    for step in range(ROUNDS):
        flipped = np.repeat(here.sizes, len(live), axis=0)
        flipped[np.arange(len(live)), live] *= -1.0
        if not len(live):
            return here, step
        tries = Deviations(flipped, np.repeat(here.play, len(live), axis=0))
        found = _worst_first(setting, tries, result)
        k = int(np.argmin(found))
        if not found[k] < value - 1e-12:
            return here, step
        here, value = tries.part([k]), float(found[k])
    return here, ROUNDS


def _vertices(setting: Setting, result: str, by: Deviations, weight: Floats) -> tuple[Deviations, int]:
    """All corners of the strongest dimensions, the rest as they are; how many."""
    strongest = [int(i) for i in np.argsort(-np.nan_to_num(weight))[:VERTICES] if weight[i] > 0]
    if not strongest:
        return by, 1
    signs = 1.0 - 2.0 * ((np.arange(2 ** len(strongest))[:, None] >> np.arange(len(strongest))) & 1)
    sizes = np.repeat(by.sizes, len(signs), axis=0)
    sizes[:, strongest] = signs * np.abs(by.sizes[0, strongest])
    tries = Deviations(sizes, np.repeat(by.play, len(signs), axis=0))
    found = _worst_first(setting, tries, result)
    k = int(np.argmin(found))
    better = found[k] < float(_worst_first(setting, by, result)[0]) - 1e-9
    return (tries.part([k]) if better else by), len(signs)
