"""Charts of gears as built: what is left of the over-centre offset, and of every gap."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import MM, TEXT_SIZE, THICK, THIN, dress, house, lettering
from linkage.drawing.palette import BLUE, LIGHT, ORANGE, VERMILION, Theme, blend
from linkage.drawing.text import plain
from linkage.mechanism.model import Floats
from linkage.tolerance import Corner, Spread, Statistic
from linkage.tolerance.followed import GAP, OFFSET, SELF_GAP, STATE, is_gap
from linkage.tolerance.spread import AGAINST

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BINS = 60
LONGEST = 70
"""Letters of a gap's name in a title."""
INSIDE = slice(1, 4, 2)
"""2.5 and 97.5 % among the percentiles of a statistic."""


def offset_title(spread: Spread) -> str:
    """What the chart of the offset says."""
    chance = spread.locks_against
    if chance is None:
        return "No over-centre pair"
    least = spread.statistic(AGAINST).least
    lost = chance.of - chance.count
    if lost == 0:
        return f"The knee locks in all of {chance.of} gears; least offset left {least:.2f} mm"
    return f"The knee does not lock in {lost} of {chance.of} gears; least offset left {least:.2f} mm"


@house()
def offset_chart(ax: Axes, spread: Spread, corner: Corner | None = None, theme: Theme = LIGHT) -> Axes:
    """Histogram of the offset left over the samples, pins anywhere and play against the lock, with the limits."""
    dress(ax, theme, x="over-centre offset left, mm", y="gears per bin, %", title=offset_title(spread))
    if spread.locks is None:
        return ax
    free, against = (_known(spread, name) for name in (OFFSET, AGAINST))
    s = spread.statistic(OFFSET)
    low = min(
        float(free.min()), float(against.min()), 0.0, corner.value if corner and np.isfinite(corner.value) else 0.0
    )
    high = max(float(free.max()), s.drawn)
    edges = np.linspace(low - 0.02 * (high - low), high + 0.04 * (high - low), BINS + 1)
    for values, colour, solid in ((free, BLUE, True), (against, ORANGE, False)):
        heights = 100.0 * np.histogram(values, edges)[0] / spread.samples
        ax.stairs(heights, edges, fill=solid, color=colour, alpha=0.45 if solid else 1.0, linewidth=1.4, zorder=3)
    top = ax.get_ylim()[1] * 1.3
    ax.set(ylim=(0.0, top), xlim=(edges[0], edges[-1]))
    peaks = [100.0 * np.histogram(v, edges)[0].max() / spread.samples for v in (free, against)]
    texts = [
        (f"pins anywhere, mean {free.mean():.2f} mm", BLUE),
        (f"play against the lock, mean {against.mean():.2f} mm", ORANGE),
    ]
    for i, (text, colour) in enumerate(texts):
        style = lettering(theme, colour=blend(colour, theme.ink, 0.35))
        words = ax.text(0.99, 0.97 - 0.055 * i, text, transform=ax.transAxes, ha="right", va="top", zorder=7, **style)
        words.set_bbox({"facecolor": theme.paper, "edgecolor": "none", "pad": 1.5})
    _line(ax, 0.0, "dead centre", VERMILION, theme, max(peaks))
    if s.criterion is not None and np.isfinite(s.criterion.low):
        _line(ax, s.criterion.low, f"least wanted {s.criterion.low:g} mm", VERMILION, theme, max(peaks))
    _line(ax, s.drawn, f"as drawn {s.drawn:.2f} mm", theme.ink, theme, max(peaks))
    if corner is not None and np.isfinite(corner.value):
        _line(ax, corner.value, f"worst corner {corner.value:.2f} mm", theme.ink, theme, max(peaks))
    return ax


def _known(spread: Spread, name: str) -> Floats:
    values = spread.values[name]
    return values[np.isfinite(values)]


def _line(ax: Axes, x: float, text: str, colour: str, theme: Theme, height: float) -> None:
    ax.axvline(x, color=blend(colour, theme.ink, 0.15), linewidth=THICK * MM, zorder=4)
    style = lettering(theme, size=TEXT_SIZE - 0.5, colour=blend(colour, theme.ink, 0.15))
    ax.annotate(
        text,
        (x, ax.get_ylim()[1] * 0.5),
        xytext=(-3.0, 0.0),
        textcoords="offset points",
        rotation=90.0,
        ha="right",
        va="center",
        zorder=6,
        **style,
    )


def gaps_title(spread: Spread) -> str:
    """What the chart of the gaps says."""
    gaps = _gaps(spread)
    if not gaps:
        return "No gap is followed"
    worst = max(gaps, key=lambda s: s.short.count if s.short else 0)
    if worst.short is None or worst.short.count == 0:
        return f"No gap is short in {spread.samples} gears"
    name = plain(worst.name.removesuffix(", mm"), LONGEST)
    return f"{name} is short in {100 * worst.short.share:.3g} % of {spread.samples} gears"


@house()
def gap_chart(ax: Axes, spread: Spread, corners: tuple[Corner, ...] = (), theme: Theme = LIGHT) -> Axes:
    """What is left of each gap, and of the least in each state, beyond what is required: 95 % of the gears, all
    samples, worst corner, as drawn."""
    title = gaps_title(spread)
    dress(ax, theme, x="gap less required gap, mm", title=title[:1].upper() + title[1:])
    worst = {c.result: c.value for c in corners if np.isfinite(c.value)}
    gaps = sorted(_gaps(spread), key=lambda s: worst.get(s.name, s.least) - _required(s), reverse=True)
    for row, s in enumerate(gaps):
        needed = _required(s)
        ax.plot([s.least - needed, s.greatest - needed], [row, row], color=BLUE, linewidth=THIN * 2 * MM, zorder=3)
        low, high = (p - needed for p in s.percentiles[INSIDE])
        ax.barh(row, max(high - low, 0.0), left=low, height=0.46, color=blend(BLUE, theme.paper, 0.45), zorder=2)
        ax.plot([s.drawn - needed], [row], "|", color=theme.ink, markersize=11, markeredgewidth=1.4, zorder=5)
        if s.name in worst:
            ax.plot([worst[s.name] - needed], [row], "x", color=VERMILION, markersize=6, markeredgewidth=1.5, zorder=6)
    ends = [-0.7, len(gaps) - 0.3]  # the key stands above
    ax.plot([0.0, 0.0], ends, color=blend(VERMILION, theme.ink, 0.15), linewidth=THICK * MM, zorder=4)
    ax.set_ylim(-0.7, len(gaps) + 0.5)
    ax.set_yticks(range(len(gaps)))
    ax.set_yticklabels([])
    for row, s in enumerate(gaps):
        ax.annotate(
            plain(_label(s.name), 40),
            (0.0, row),
            xycoords=("axes fraction", "data"),
            xytext=(-5, 0),
            textcoords="offset points",
            ha="right",
            va="center",
            **lettering(theme),
        )
    key = "bar: 95 % of gears   line: all samples   | as drawn   x worst corner found   0: just the required gap"
    ax.text(0.0, 0.995, key, transform=ax.transAxes, ha="left", va="top", **lettering(theme, size=TEXT_SIZE - 0.5))
    return ax


def _gaps(spread: Spread) -> list[Statistic]:
    return [s for s in spread.statistics if is_gap(s.name) and s.criterion is not None]


def _label(result: str) -> str:
    """A gap named by what it is to, a state by its name."""
    if result == SELF_GAP:
        return "the gear to itself"
    if result.startswith(STATE):
        return f"state {result.removeprefix(STATE).removesuffix(', mm')}"
    return result.removeprefix(GAP).removesuffix(", mm")


def _required(s: Statistic) -> float:
    return s.criterion.low if s.criterion is not None else 0.0
