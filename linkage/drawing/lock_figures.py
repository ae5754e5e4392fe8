"""The lock: knee offset against actuator travel, and what presses the knee onto its stop or pulls it off."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, VERMILION, Theme
from linkage.drawing.text import escaped, plain
from linkage.lock import LockTravel
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def shown(r: Results) -> bool:
    """Only a knee has an offset."""
    return r.lock.travel is not None


def title(r: Results) -> str:
    """The answer in one line."""
    travel = r.lock.travel
    if travel is None:
        return "No knee: the lock is inside the brace"
    if travel.back > 0.0 and travel.dead_travel <= 0.0:
        return (
            f"Up to dead centre the actuator is driven back {travel.back:.2f} mm: it cannot break the knee, and needs"
            f" that much more travel to lock it"
        )
    return (
        f"{travel.shortfall:.2f} mm short of the lock the knee is on centre; {travel.least_travel:.2f} mm short it"
        f" keeps {travel.least_offset:g} mm of its {r.lock.offset:.3g} mm"
    )


def caption(r: Results) -> str:
    """Alternative text."""
    pulled = [h for h in r.lock.held if h.press < 0]
    worst = min(pulled, key=lambda h: h.margin) if pulled else None
    hold = (
        f" Worst pull off the stop: {-worst.press:.0f} N ultimate under {worst.load.condition.name}, of which"
        f" {worst.springs:.0f} N by springs; {worst.capacity:.0f} N can be held."
        if worst
        else " No condition pulls the knee off its stop."
    )
    return f"Knee offset against actuator travel of {r.study.title}. {title(r)}.{hold}"


def lock_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Offset curve on the left, forces at the knee on the right."""
    figure.text(0.07, 0.955, plain(title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    if r.lock.travel is not None:
        offset_curve(r, r.lock.travel, figure.add_axes((0.07, 0.13, 0.36, 0.72)), theme)
    hold_bars(r, figure.add_axes((0.63, 0.13, 0.35, 0.72)), theme)
    return figure


def offset_curve(r: Results, travel: LockTravel, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Knee offset over actuator travel from the lock; the stop ends it on the left."""
    dress(ax, theme, x="actuator travel from the lock, mm (+ raises the gear)", y="knee offset, mm (+ over centre)")
    x, y = travel.curve
    ax.plot(x, y, color=BLUE, linewidth=1.8, zorder=4)
    ax.axhline(0.0, color=theme.ink, linewidth=0.9, zorder=3)
    ax.axhline(travel.least_offset, color=VERMILION, linewidth=1.0, linestyle=(0, (6, 2)), zorder=3)
    marks = (
        (0.0, float(y[0]), f"lock, on its stop: {y[0]:.2f} mm", "o"),
        (travel.least_travel, travel.least_offset, f"least wanted offset {travel.least_offset:g} mm", "s"),
        (travel.dead_travel, 0.0, f"dead centre: {travel.dead_travel:+.2f} mm", "D"),
    )
    left = abs(float(x.min())) > abs(float(x.max()))
    for at, height, text, marker in marks:
        ax.plot([at], [height], marker=marker, color=theme.ink, markersize=5, zorder=6)
        ax.annotate(
            escaped(text, 60),
            (at, height),
            xytext=(-10 if left else 10, -14 if marker == "s" and travel.back > 0 else 9),
            textcoords="offset points",
            ha="right" if left else "left",
            zorder=7,
            **lettering(theme),
        )
    pad = 0.08 * float(np.ptp(x))
    ax.set_xlim(x.min() - (6 if left else 1) * pad, x.max() + (1 if left else 6) * pad)
    ax.set_ylim(min(float(y.min()), 0.0) - 0.1 * float(np.ptp(y)), float(y.max()) + 0.15 * float(np.ptp(y)))
    return ax


def hold_bars(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Each condition's force at the stop, springs on top, against what the strongest holder takes. ULTIMATE."""
    dress(ax, theme, x=f"N at the {r.lock.seat.what}, ULTIMATE (+ onto its stop)")
    held = r.lock.held
    rows = np.arange(len(held))[::-1]
    press = np.array([h.press for h in held])
    ax.barh(rows, press, height=0.5, color=ORANGE, edgecolor=theme.ink, linewidth=0.7, zorder=3)
    springs = np.array([h.springs for h in held])
    if springs.any():
        below = rows - 0.32
        ax.barh(below, springs, height=0.14, color=GREEN, edgecolor=theme.ink, linewidth=0.7, hatch="//", zorder=4)
    for row, h in zip(rows, held, strict=True):
        ax.plot([-h.capacity - h.springs] * 2, [row - 0.4, row + 0.35], color=VERMILION, linewidth=2.2, zorder=5)
    ax.axvline(0.0, color=theme.ink, linewidth=0.9, zorder=5)
    names = [f"{escaped(h.load.condition.name, 30)}\nbrace {h.brace / 1000:+.2f} kN" for h in held]
    ax.set_yticks(rows, names, **lettering(theme))
    ax.set_ylim(-0.8, len(held) - 0.3)
    key = "orange: load on the lock; red bar: furthest that can be held"
    key += "\ngreen hatched: springs, cold and worn; kN: + compression" if springs.any() else "\nkN: + compression"
    ax.set_title(key, loc="left", **lettering(theme))
    return ax
