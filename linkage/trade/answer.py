"""What a trade study says: where every finding is good, in one sentence and as an area."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np
from numpy.typing import NDArray

from linkage.mechanism.model import Floats
from linkage.trade.model import Point, Trade, Vary
from linkage.trade.words import subject

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Answer:
    """Of a ``trade``. ``good``: points (in the shape of the study) that keep every finding, or, where no point does,
    every finding but those ``excused``: short in the present design already (at every point, if that is unknown).
    ``kept``: that in words; ``sentence``: the answer in words."""

    trade: Trade
    excused: tuple[str, ...]
    good: Mask
    kept: str
    sentence: str

    @cached_property
    def edge(self) -> tuple[tuple[Floats, ...], Floats]:
        """Values of the varied numbers between the points too, and over them what is 0 on the edge of the good area and
        positive inside: every margin that is short somewhere goes straight from point to point, each in parts of its
        own greatest, and the least of them counts. NaN beside points that were not computed."""
        trade = self.trade
        axes = _axes(trade)
        left = np.where(straight(trade, np.where(trade.computed, 1.0, np.nan)) > 0, 1.0, np.nan)
        for name in trade.findings:
            margin = trade.result(name)
            if name not in self.excused and np.any(margin < 0.0):
                part = margin / np.nanmax(np.abs(margin))
                part = np.where(part >= 0.0, np.maximum(part, KEPT), part)
                left = np.fmin(left, straight(trade, part)) + 0.0 * left
        return axes, left

    @cached_property
    def state(self) -> Floats:
        """Over the places of `edge`: 1 good, -1 falls short, 0 not computed. Beside points that were not computed a
        place is like the nearest point."""
        _, left = self.edge
        points = np.where(self.good, 1.0, np.where(self.trade.computed, -1.0, 0.0))
        for axis, count in enumerate(self.trade.shape):
            finer = left.shape[axis]
            points = np.take(points, np.rint(np.arange(finer) * (count - 1) / (finer - 1)).astype(int), axis=axis)
        return np.where(np.isnan(left), points, np.where(left >= 0.0, 1.0, -1.0))

    @cached_property
    def with_present(self) -> Answer:
        """One number varied: the present design as one more point, if it lies between the others; the same words."""
        (vary,), here = self.trade.varies, self.trade.present
        value = vary.present
        if here is None or not here.computed or value is None or value in vary.values:
            return self
        if not vary.values[0] < value < vary.values[-1]:
            return self
        place = int(np.searchsorted(vary.values, value))
        points = (*self.trade.points[:place], here, *self.trade.points[place:])
        more = replace(vary, values=tuple(sorted((*vary.values, value))))
        good = np.insert(self.good, place, _keeps(here, self.excused))
        return replace(self, trade=replace(self.trade, varies=(more,), points=points), good=good)


def answer(trade: Trade) -> Answer:
    """The answer of a trade study. Only points that were solved count, nothing between them."""
    computed = [p for p in trade.points if p.computed]
    if not computed:
        sentence = "Stopped before a point was computed" if trade.stopped else "No point can be computed"
        return Answer(trade, (), np.zeros(trade.shape, dtype=bool), "keeps every finding", sentence)
    excused, why = _excused(trade)
    good = np.array([_keeps(p, excused) for p in trade.points]).reshape(trade.shape)
    kept = "keeps every finding" + (f" but {_list(excused)}, {why}" if excused else "")
    return Answer(trade, excused, good, kept, _sentence(trade, kept, good, excused))


def _keeps(point: Point, excused: tuple[str, ...]) -> bool:
    return point.computed and not set(point.short) - set(excused)


def _excused(trade: Trade) -> tuple[tuple[str, ...], str]:
    """Findings that need not be kept, and why."""
    computed = [p for p in trade.points if p.computed]
    if any(not p.short for p in computed):
        return (), ""
    if trade.present is not None and trade.present.computed:
        return trade.present.short, "short in the present design"
    return tuple(n for n in trade.findings if all(n in p.short for p in computed)), "short at every point"


def _sentence(trade: Trade, kept: str, good: Mask, excused: tuple[str, ...]) -> str:
    lost = len(trade.points) - int(trade.computed.sum())
    beside = f"; {lost} of {len(trade.points)} points are not computed" if lost else ""
    if not good.any():
        fewest = min(len(p.short) for p in trade.points if p.computed)
        but = (
            ", only the present design does"
            if trade.present and _keeps(trade.present, excused)
            else f"; fewest short: {fewest}"
        )
        return f"No point {kept}{but}{beside}"
    if good.all():
        return f"Every point {kept}"
    if len(trade.varies) == 1:
        vary = trade.varies[0]
        return f"{vary.short} {' and '.join(_runs(vary, good))} {kept}{beside}"
    ranges = " with ".join(_extent(v, np.atleast_1d(good.any(axis=1 - i))) for i, v in enumerate(trade.varies))
    count = int(good.sum())
    verb = kept if count == 1 else kept.replace("keeps", "keep", 1)
    return f"{count} of {good.size} points {verb}: within {ranges}{beside}"


def _list(names: tuple[str, ...]) -> str:
    if len(names) > 2:
        return f"{len(names)} others"
    return " and ".join(subject(n).removesuffix(" >=").removesuffix(" <=") for n in names)


def _runs(vary: Vary, good: Mask) -> Iterator[str]:
    """Stretches of neighbouring points that are good."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], good, [False]])))
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        yield _range(vary, first, after - 1)


def _extent(vary: Vary, good: Mask) -> str:
    places = np.flatnonzero(good)
    return f"{vary.short} {_range(vary, places[0], places[-1])}"


def _range(vary: Vary, first: int, last: int) -> str:
    low, high = vary.values[first], vary.values[last]
    return (f"{low:g}" if first == last else f"{low:g} to {high:g}") + (f" {vary.unit}" if vary.unit else "")


FINER, FINEST = 16, 1000
"""Steps into which the way from point to point is cut to find where margins are 0 between them, and about how many
there are at most along one number."""

KEPT = 1e-3
"""Least part of its greatest that a margin which is kept counts between the points: 0 is kept."""

LEAST_MARGIN = "least_margin_mm"
GAP = "(gap), mm"
"""Ends the names of the findings of which ``least_margin_mm`` is the least."""


def between(trade: Trade, name: str) -> tuple[tuple[Floats, ...], Floats]:
    """A result between the points too, over the places of `Answer.edge`: straight from point to point, and what is the
    least of many margins is that between the points as well. NaN beside points that have none."""
    axes = _axes(trade)
    values = trade.result(name)
    if name == LEAST_MARGIN:
        gaps = [trade.result(gap) for gap in trade.findings if gap.endswith(GAP)]
        if gaps and np.array_equal(np.fmin.reduce(gaps), values, equal_nan=True):
            # one after the other: each is as large as the picture
            return axes, reduce(np.fmin, (straight(trade, gap) for gap in gaps))
    return axes, straight(trade, values)


def _axes(trade: Trade) -> tuple[Floats, ...]:
    return tuple(_finer(np.array(v.values)) for v in trade.varies)


def _finer(x: Floats) -> Floats:
    steps = max(min(FINER, FINEST // len(x)), 1)
    return np.interp(np.arange(steps * (len(x) - 1) + 1) / steps, np.arange(len(x)), x)


def straight(trade: Trade, values: Floats) -> Floats:
    """Values over the points, carried on straight to the places of `Answer.edge`."""
    for axis, (vary, fine) in enumerate(zip(trade.varies, _axes(trade), strict=True)):
        lines = np.moveaxis(values, axis, -1).reshape(-1, len(vary.values))
        finer = np.array([np.interp(fine, vary.values, line) for line in lines])
        rest = [n for i, n in enumerate(values.shape) if i != axis]
        values = np.moveaxis(finer.reshape(*rest, len(fine)), -1, axis)
    return values


PLACE = "_at_deg"
"""Ends the keys that say where a least lies, which jumps."""


def telling(trade: Trade, most: int = 4) -> tuple[str, ...]:
    """Results worth a chart: margins that are crossed somewhere, then headline numbers that move, those asked for most
    often first."""
    first = (
        LEAST_MARGIN,
        "transmission_angle_min_deg",
        "actuator_push_peak_2g_n",
        "nose_share_min",
        "brace_force_aft_n",
        "actuator_dead_length_mm",
        "trail_mm",
    )
    crossed = [n for n in trade.findings if np.any(trade.result(n) < 0) and np.any(trade.result(n) >= 0)]
    known = [k for k in dict.fromkeys([*first, *trade.keys]) if k in trade.keys and not k.endswith(PLACE)]
    order = [k for k in known if _moves(trade.result(k))]
    return tuple([*crossed[: most - 1], *order][:most])


def _moves(values: Floats) -> bool:
    seen = values[np.isfinite(values)]
    return bool(len(seen) > 1 and np.ptp(seen) > 1e-9 * max(float(np.max(np.abs(seen))), 1e-12))
