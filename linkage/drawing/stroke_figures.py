"""Curves over the stroke: actuator, driven link, transmission angle, least margin."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, house, lettering, new_figure
from linkage.drawing.palette import BLUE, LIGHT, VERMILION, Theme
from linkage.drawing.text import plain
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def title(r: Results) -> str:
    """The answer in one line."""
    s = r.stroke
    angle = math.degrees(float(s.transmission.min()))
    return (
        f"Actuator stroke {s.actuator_stroke:.1f} mm for {math.degrees(float(s.swing[-1])):.1f} deg of swing; least"
        f" transmission angle {angle:.1f} deg"
    )


def caption(r: Results) -> str:
    """Alternative text."""
    margin = "" if r.clearance.worst is None else " and least margin to the bay"
    return f"Actuator length, driven rotation, transmission angle{margin} over the leg swing. {title(r)}."


@house()
def stroke_figure(r: Results, theme: Theme = LIGHT) -> Figure:
    """Four curves over the leg swing; a dashed line is a limit of the study."""
    figure = new_figure(1100, 700, theme=theme)
    figure.text(0.07, 0.965, plain(title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    s, limit = r.stroke, r.study.limits.transmission_angle.min
    curves = (
        ("actuator, pin to pin, mm", s.actuator_length, None),
        ("driven rotation, deg", np.degrees(s.driven), None),
        ("transmission angle, deg", np.degrees(s.transmission), limit),
        ("least margin to the bay, mm", r.clearance.curve, 0.0),
    )
    for i, (name, values, bound) in enumerate(curves):
        ax = figure.add_axes((0.07 + 0.49 * (i % 2), 0.54 - 0.46 * (i // 2), 0.42, 0.35))
        _curve(ax, r, name, np.asarray(values), bound, theme)
    return figure


def _curve(ax: Axes, r: Results, name: str, values: np.ndarray, bound: float | None, theme: Theme) -> None:
    dress(ax, theme, x="leg swing, deg (0 = locked down)", y=name)
    swing = np.degrees(r.stroke.swing)
    if not np.isfinite(values).any():
        ax.text(0.5, 0.5, "no bay items given", ha="center", transform=ax.transAxes, **lettering(theme))
        return
    ax.plot(swing, values, color=BLUE, linewidth=1.6, zorder=4)
    low = int(np.nanargmin(values))
    ax.plot([swing[low]], [values[low]], marker="o", color=VERMILION, markersize=5, zorder=6)
    right = swing[low] > 0.6 * swing.max()
    ax.annotate(
        f"least {values[low]:.1f} at {swing[low] + 0.0:.1f} deg",
        (swing[low], values[low]),
        xytext=(-8 if right else 8, -13),
        textcoords="offset points",
        ha="right" if right else "left",
        zorder=7,
        bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85},
        **lettering(theme),
    )
    if bound is not None:
        ax.axhline(bound, color=VERMILION, linewidth=1.0, linestyle=(0, (6, 2)), zorder=3)
    ax.margins(y=0.14)
