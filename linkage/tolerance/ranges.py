"""How far one dimension may go, all others as drawn and pins without play, until a result is short that is judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.mechanism.model import Floats
from linkage.tolerance.asked import force_left
from linkage.tolerance.criteria import Criterion
from linkage.tolerance.followed import ASKED, SWING, Setting
from linkage.tolerance.model import Deviations
from linkage.tolerance.results import Outcome, judge

SPAN = 12.0
"""mm either way over which a dimension is moved; what holds over all of it is said to hold that far."""
POINTS = 121
"""Gears tried each way, and again between the two that enclose a limit."""
CLOSE = 2e-3
"""mm within which the end is found where what is asked of the actuator ends a range."""


@dataclass(frozen=True)
class Range:
    low: float
    high: float
    ends: tuple[str, str]
    values: dict[str, tuple[float, float]]
    """Results at both ends."""


def range_of(setting: Setting, kept: Sequence[Criterion], way: Floats) -> Range:
    """How far all results hold when the dimensions move along ``way`` (dimensions,), in mm of it."""
    half, asked = np.linspace(0.0, SPAN, POINTS), any(c.result == ASKED for c in kept)
    coarse = [_first_short(kept, found, half) for found in _sides(setting, way, (-half, half))]
    fine = [np.linspace(low, high, POINTS) for low, high, _ in coarse]
    again = [
        _first_short(kept, found, f) for found, f in zip(_sides(setting, way, (-fine[0], fine[1])), fine, strict=True)
    ]
    names = [b[2] or a[2] for a, b in zip(coarse, again, strict=True)]
    ends = np.array([-again[0][0], again[1][0]])
    values = judge(setting, _along(setting, way, ends)).values
    weak = [i for i in (0, 1) if asked and not _holds(setting, way, ends[i], values[SWING][i])]
    for i in weak:
        ends[i], names[i] = _strong(setting, way, ends[i]), ASKED
    values = judge(setting, _along(setting, way, ends)).values if weak else values
    held = {k: (float(v[0]), float(v[1])) for k, v in values.items()}
    return Range(float(ends[0]), float(ends[1]), (names[0], names[1]), held)


def _holds(setting: Setting, way: Floats, place: float, swing: float | None = None) -> bool:
    """Whether the actuator is strong enough with friction and air too."""
    return force_left(setting, _along(setting, way, np.array([place])), swing) >= 0


def _strong(setting: Setting, way: Floats, end: float) -> float:
    """The last place on the way to an end at which it still is."""
    good, bad = 0.0, end
    while abs(bad - good) > CLOSE:
        middle = (good + bad) / 2
        good, bad = (middle, bad) if _holds(setting, way, middle) else (good, middle)
    return good


def _sides(setting: Setting, way: Floats, lines: tuple[Floats, Floats]) -> tuple[Outcome, Outcome]:
    """Gears along two lines, judged together."""
    found = judge(setting, _along(setting, way, np.concatenate(lines)))
    cut = len(lines[0])
    first = {k: v[:cut] for k, v in found.values.items()}, {k: v[cut:] for k, v in found.values.items()}
    return Outcome(first[0], found.failure[:cut]), Outcome(first[1], found.failure[cut:])


def _along(setting: Setting, way: Floats, line: Floats) -> Deviations:
    return setting.plan.tight(line[:, None] * way[None, :])


def _first_short(kept: Sequence[Criterion], found: Outcome, line: Floats) -> tuple[float, float, str]:
    """Last place on a line before something kept is short, the first place where it is, and what; the whole line and
    no name if nothing is."""
    kept = [c for c in kept if c.result in found.values]
    margins = np.array([c.margin(found.values[c.result]) for c in kept]).reshape(len(kept), len(line))
    bad = np.flatnonzero(np.array([bool(reason) for reason in found.failure]) | (margins < 0).any(axis=0))
    if not bad.size:
        return float(line[-1]), float(line[-1]), ""
    k = max(int(bad[0]), 1)
    return float(line[k - 1]), float(line[k]), found.failure[k] or kept[int(margins[:, k].argmin())].result


def way_of(setting: Setting, **moved: float) -> Floats:
    """The direction (dimensions,) in which these dimensions move together, by their names."""
    way = np.zeros(len(setting.plan.dimensions))
    for name, much in moved.items():
        way[setting.plan.index(name)] = much
    return way
