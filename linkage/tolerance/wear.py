"""How far it may wear: the pin clearance at which the offset is gone, and at which the first gap gets short.

Exact gears with every pin resting where it takes most away, closed in on from both sides (`linkage.mechanism.roots`). A
straight line through the first hundredths of a millimetre is the second road.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.roots import closed_in
from linkage.tolerance.criteria import criteria
from linkage.tolerance.followed import OFFSET, Setting
from linkage.tolerance.model import Deviations
from linkage.tolerance.places import Watch
from linkage.tolerance.results import slopes_of_places, value_of
from linkage.tolerance.search import FINE, slopes, worst_play

FURTHEST = 20.0
"""mm of diametral clearance up to which it is looked: no pin is left in place there."""
FARTHER = 1.5
"""A gap that a straight line calls short only at so many times the clearance found is not looked at exactly."""
LEAST_SLOPE = 1e-6
"""mm per mm; less is rounding."""
COARSE = np.linspace(0.0, FURTHEST, 65)
"""mm of clearance at which a fall is looked for first, then once more between two of them as finely: 0.005 mm apart."""
NEAR = 1e-6
"""mm of clearance within which a root is closed in on."""
SAME = 1e-3
"""rad. Directions of play that differ by less are the same: what they take away then differs by 5e-7 of it."""


@dataclass(frozen=True)
class WearLimit:
    """Diametral clearance ``exact``, mm, at which ``result`` falls to ``wanted`` with all of ``pins`` worn alike; None
    if it does not up to `FURTHEST`. ``linear``: where a straight line from small wear would say; None if it never
    falls. ``drawn``: value without any play. ``short``: already short without wear."""

    pins: tuple[str, ...]
    result: str
    wanted: float
    drawn: float
    exact: float | None
    linear: float | None

    @property
    def short(self) -> bool:
        return self.drawn < self.wanted


@dataclass(frozen=True)
class Wear:
    """``lock``: offset gone, all pins alike first, then each alone; ``lock_limit``: the same down to the study's least
    offset; ``built``: offset gone where the pieces are at their worst besides; ``gaps``: the first gap that gets short,
    all pins alike first, then each alone; gaps that are short as drawn are left out, and states that hold all play
    already."""

    lock: tuple[WearLimit, ...]
    lock_limit: tuple[WearLimit, ...]
    built: WearLimit | None
    gaps: tuple[WearLimit, ...]


def wear(setting: Setting, worst_sizes: Floats | None) -> Wear:
    """Look for every limit. ``worst_sizes``: deviations (dimensions,) of the worst corner of the offset."""
    wide = replace(setting, watches=setting.all_watches)
    pins = setting.plan.pins
    groups = [pins, *((p,) for p in pins)]
    asked = {c.result: c for c in criteria(wide)}
    as_drawn = setting.plan.none().sizes[0]
    lock: list[WearLimit] = []
    limit: list[WearLimit] = []
    built = None
    if setting.plan.gear.locking is not None:
        least = asked[OFFSET].low
        worn = [_wearing(wide, OFFSET, g, as_drawn) for g in groups]
        lock = [_limit(w, 0.0) for w in worn]
        limit = [_limit(w, least) for w in worn] if np.isfinite(least) and least > 0 else []
        built = limit_of(wide, OFFSET, 0.0, pins, worst_sizes) if worst_sizes is not None else None
    asking = [w for w in wide.watches if w.pair.judged and not w.pair.no_play]
    as_good = {w.result: min(o.margin for o in asking if o.result == w.result) for w in asking}
    wide = replace(wide, watches=tuple(w for w in asking if as_good[w.result] >= 0))
    table = [s.play for s in slopes_of_places(wide, wide.watches)]
    return Wear(_felt(lock), _felt(limit), built, _felt([_first(wide, g, table) for g in groups]))


def _felt(limits: Sequence[WearLimit | None]) -> tuple[WearLimit, ...]:
    """The first, and those of single pins that do anything at all."""
    return tuple(w for i, w in enumerate(limits) if w is not None and (i == 0 or w.linear is not None))


def _first(setting: Setting, pins: tuple[str, ...], table: Sequence[Complexes]) -> WearLimit | None:
    """The first gap that gets short. ``table``: slopes of each watched place by the play of each pin (pins,).

    Places come in the order in which straight lines say that they get short, until those that are left are not thought
    to before ``FARTHER`` times the clearance found.
    """
    plan = setting.plan
    mask = np.array([p in pins for p in plan.pins], float)
    found: WearLimit | None = None
    for w, slope in sorted(zip(setting.watches, table, strict=True), key=lambda ws: _straight(ws[0], ws[1] * mask)):
        linear = _straight(w, slope * mask)
        if not np.isfinite(linear) or (found is not None and linear > FARTHER * (found.exact or np.inf)):
            break
        one = limit_of(replace(setting, watches=(w,)), w.result, w.wanted, pins, plan.none().sizes[0])
        better = one.exact is not None and (found is None or found.exact is None or one.exact < found.exact)
        if found is None or better:
            found = one
    return found


def _straight(watch: Watch, slope: Complexes) -> float:
    """Clearance at which a gap is short if it goes on falling as it begins to."""
    steep = 0.5 * float(np.abs(slope).sum())
    return watch.margin / steep if steep > LEAST_SLOPE else float("inf")


def limit_of(setting: Setting, result: str, wanted: float, pins: tuple[str, ...], sizes: Floats) -> WearLimit:
    """Where one result falls to ``wanted``. Of a gap, at one watched place."""
    return _limit(_wearing(setting, result, pins, sizes), wanted)


@dataclass(frozen=True)
class _Wearing:
    """One result of pieces as they are, ``sizes`` (dimensions,), as the pins of ``mask`` (pins,) wear alike, resting
    along ``ways`` (pins,), unit directions. ``start``: without play."""

    setting: Setting
    result: str
    pins: tuple[str, ...]
    mask: Floats
    sizes: Floats
    ways: Complexes
    start: float

    def left(self, clearance: Floats) -> Floats:
        """The result (n,) at clearances (n,), mm; minus infinity where a gear cannot be."""
        sizes = np.repeat(self.sizes[None, :], len(clearance), axis=0)
        value = value_of(self.setting, Deviations(sizes, 0.5 * clearance[:, None] * self.ways[None, :]), self.result)
        return np.where(np.isfinite(value), value, -np.inf)

    @cached_property
    def fall(self) -> float:
        """How fast the result falls at first, per mm of clearance."""
        return (self.start - float(self.left(np.array([FINE]))[0])) / FINE

    @cached_property
    def coarse(self) -> Floats:
        return self.left(COARSE)


def _wearing(setting: Setting, result: str, pins: tuple[str, ...], sizes: Floats) -> _Wearing:
    mask = np.array([p in pins for p in setting.plan.pins], float)
    clear = Deviations(sizes[None, :], np.zeros((1, len(mask)), complex))
    start = float(value_of(setting, clear, result)[0])
    return _Wearing(setting, result, pins, mask, sizes, _ways(setting, result, clear, FINE, mask), start)


def _limit(worn: _Wearing, wanted: float) -> WearLimit:
    linear = (worn.start - wanted) / worn.fall if worn.fall > LEAST_SLOPE else None
    if worn.start < wanted or linear is None:
        return WearLimit(worn.pins, worn.result, wanted, worn.start, None, linear)
    exact = _root(worn, wanted)
    if exact is not None and np.isfinite(worn.left(np.array([exact]))[0]):  # directions chosen anew where it matters
        there = Deviations(worn.sizes[None, :], (0.5 * exact * worn.ways)[None, :])
        turned = _ways(worn.setting, worn.result, there, max(exact, FINE), worn.mask)
        if np.abs(turned - worn.ways).max() > SAME:
            exact = _root(replace(worn, ways=turned), wanted)
    return WearLimit(worn.pins, worn.result, wanted, worn.start, exact, linear)


def _ways(setting: Setting, result: str, at: Deviations, clearance: float, mask: Floats) -> Complexes:
    """Unit directions (pins,) in which play takes most away, 0 where it does nothing or the pin is not worn.

    A gap at one place is smooth: its slope says it. The offset has a kink, as the lesser of two holes counts: every
    direction is tried.
    """
    if result == OFFSET:
        return worst_play(setting, result, at.sizes[0], 0.5 * clearance * mask) / (0.5 * clearance)
    found = slopes(setting, result, at).play * mask
    steep = np.abs(found)
    return np.asarray(np.where(steep > LEAST_SLOPE, -found / np.where(steep > 0, steep, 1.0), 0.0))


def _root(worn: _Wearing, wanted: float) -> float | None:
    """First clearance at which nothing is left; where the links part before, the last at which they still close."""
    grid, over = COARSE, worn.coarse - wanted
    for closer in (True, False):
        gone = np.flatnonzero(over <= 0)
        if not gone.size or gone[0] == 0:
            return float(grid[0]) if gone.size else None
        k = int(gone[0])
        if closer:
            grid = np.linspace(grid[k - 1], grid[k], len(COARSE))
            over = worn.left(grid) - wanted
    if not np.isfinite(over[k]):
        return float(grid[k - 1])
    ends = grid[k - 1 : k], grid[k : k + 1], over[k - 1 : k], over[k : k + 1]
    return float(closed_in(lambda c: worn.left(c) - wanted, *ends, NEAR)[0])
