"""Emergency extension: how the gear falls, with how much energy it comes to the lock, up to which speed it locks."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, VERMILION, Theme
from linkage.drawing.text import plain, wrapped
from linkage.extension import EmergencyExtension, Extension
from linkage.results import Results
from linkage.stroke import swing_at

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def shown(r: Results) -> bool:
    return r.extension is not None


def title(r: Results) -> str:
    """The answer in one line."""
    e = r.extension
    if e is None:
        return "No emergency extension in the study"
    run = e.hardest
    if run.stop is not None:
        return f"The gear stalls at {math.degrees(run.stop[1]):.1f} deg swing: {run.condition}"
    return (
        f"The gear locks by itself in {run.duration:.1f} s in the hardest condition; it arrives at"
        f" {e.fastest.arrival_speed:.2f} m/s in the fastest"
    )


def caption(r: Results) -> str:
    """Alternative text."""
    e = r.extension
    if e is None:
        return title(r)
    v = e.envelope
    known = np.isfinite(v.highest)
    reach = f"{v.highest[known][0]:.0f} to {v.highest[known][-1]:.0f} m/s" if known.any() else "no speed"
    return (
        f"Emergency extension of {r.study.title}: swing over time, kinetic energy over swing, and highest speed at"
        f" which the gear locks over spring health ({reach}). {title(r)}."
    )


def extension_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Fall in time, energy along the way, envelope of speeds."""
    e = r.extension
    figure.text(0.05, 0.965, plain(title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    if e is not None:
        falls(e, figure.add_axes((0.05, 0.13, 0.26, 0.72)), theme)
        energy(r, e, figure.add_axes((0.38, 0.13, 0.26, 0.72)), theme)
        speeds(r, e, figure.add_axes((0.71, 0.13, 0.27, 0.72)), theme)
    return figure


def _runs(e: EmergencyExtension) -> list[tuple[str, Extension, str, tuple[int, tuple[int, ...]]]]:
    runs: list[tuple[str, Extension, str, tuple[int, tuple[int, ...]]]] = [("hardest", e.hardest, BLUE, (0, ()))]
    return runs if e.fastest is e.hardest else [*runs, ("fastest", e.fastest, ORANGE, (0, (6, 2)))]


def falls(e: EmergencyExtension, ax: Axes, theme: Theme = LIGHT) -> Axes:
    dress(ax, theme, x="time from up-lock release, s", y="leg swing, deg (lock 0)")
    for _, run, colour, dashes in _runs(e):
        ax.plot(run.time, np.degrees(run.swing), color=colour, linewidth=1.8, linestyle=dashes, zorder=4)
        mark = "o" if run.locks else "X"
        ax.plot(
            [run.time[-1]], [math.degrees(float(run.swing[-1]))], marker=mark, color=theme.ink, markersize=6, zorder=6
        )
    lines = [
        f"{'full' if n == 'hardest' else 'broken'} line, {n}:\n" + wrapped(str(x.condition), 34, 2)
        for n, x, _, _ in _runs(e)
    ]
    _note(ax, 0.04, 0.05, "\n".join(lines), theme)
    ax.set_title("Fall in time (dot: locked, cross: stalled)", loc="left", **lettering(theme))
    ax.axhline(0.0, color=theme.ink, linewidth=0.9, zorder=3)
    return ax


def energy(r: Results, e: EmergencyExtension, ax: Axes, theme: Theme = LIGHT) -> Axes:
    dress(ax, theme, x="leg swing, deg (falls to the left)", y="kinetic energy, J")
    swing = np.degrees(swing_at(r.gear, e.driven))
    for _, run, colour, dashes in _runs(e):
        course = e.energies[:, e.corners.index(run.condition)]
        ax.plot(swing, np.where(course >= 0, course, np.nan), color=colour, linewidth=1.8, linestyle=dashes, zorder=4)
    text = "; ".join(f"{n} {x.arrival:.2g} J" for n, x, _, _ in _runs(e) if math.isfinite(x.arrival))
    ax.set_title(f"Energy; at the lock {text}" if text else "Energy", loc="left", **lettering(theme))
    ax.set_ylim(bottom=0.0)
    return ax


def speeds(r: Results, e: EmergencyExtension, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Between lowest and highest speed the gear locks; required speeds and least health as lines."""
    v, (slow, fast) = e.envelope, e.required_speeds
    dress(ax, theme, x="spring health, % of the new force", y="air speed, m/s")
    health = 100 * v.health
    if len(health) == 1:
        health = np.array([0.0, 100.0])
        ax.set_xlabel("no gas spring in this gear", **lettering(theme))
    high, low = (np.broadcast_to(x, health.shape) for x in (v.highest, v.lowest))
    ax.fill_between(health, low, high, facecolor=GREEN, alpha=0.2, edgecolor="none", zorder=2)
    for edge in (low, high) if np.any(low > 0) else (high,):
        ax.plot(
            health,
            edge,
            color=GREEN,
            linewidth=1.8,
            marker="o" if len(v.health) > 1 else None,
            markersize=3.5,
            zorder=4,
        )
    for speed, name in ((fast, "required up to"), (slow, "required from")):
        ax.axhline(speed, color=VERMILION, linewidth=1.4, zorder=3)
        ax.text(health[-1], speed, f"{name} {speed:.4g} m/s ", ha="right", va="bottom", zorder=6, **lettering(theme))
    least = r.study.limits.spring_health.min
    if least is not None and len(v.health) > 1:
        ax.axvline(100 * least, color=theme.ink, linewidth=1.0, linestyle=(0, (6, 2, 1, 2)), zorder=3)
        ax.text(
            100 * least, 0.02 * v.searched, f" due at {100 * least:.0f} %", va="bottom", zorder=6, **lettering(theme)
        )
    ax.set_ylim(0.0, 1.08 * v.searched)
    springs = f", springs at {v.temperature:g} C" if len(v.health) > 1 else ""
    ax.set_title(f"Green: locks{springs}; tried to {v.searched:.0f} m/s", loc="left", **lettering(theme))
    return ax


def _note(ax: Axes, x: float, y: float, text: str, theme: Theme) -> None:
    box = {"facecolor": theme.paper, "edgecolor": "none", "pad": 1.5, "alpha": 0.85}
    ax.text(x, y, text, transform=ax.transAxes, va="bottom", zorder=9, bbox=box, **lettering(theme))
