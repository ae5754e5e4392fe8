"""Doors driven from the gear: opening and gap to the tyre over the swing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from linkage.doors import DoorMotion
from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, PURPLE, SKY, VERMILION, Theme
from linkage.drawing.text import escaped, plain
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COLOURS = (BLUE, GREEN, PURPLE, ORANGE, SKY)


def shown(r: Results) -> bool:
    return bool(r.doors)


def title(r: Results) -> str:
    """The answer in one line."""
    return "; ".join(_answer(d) for d in r.doors)


def _answer(d: DoorMotion) -> str:
    turn = math.degrees(float(np.ptp(d.opening)))
    back = f", turns back at {math.degrees(d.turn_swings[0]):.1f} deg swing" if d.turns else ", without a dead point"
    gap = f", {np.nanmin(d.tyre_gap):.1f} mm from the tyre" if np.isfinite(d.tyre_gap).any() else ""
    return f"{d.name} turns {turn:.0f} deg{back}{gap}"


def caption(r: Results) -> str:
    """Alternative text."""
    return f"Opening of the doors and their gap to the tyre over the leg swing. {title(r)}."


def door_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Door angle over the swing and over the tyre's height, gap to the nearest tyre below; dead points as rhombs."""
    figure.text(0.08, 0.955, plain(title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    by_swing, by_tyre = figure.add_axes((0.08, 0.56, 0.41, 0.32)), figure.add_axes((0.56, 0.56, 0.4, 0.32))
    lower = figure.add_axes((0.08, 0.1, 0.88, 0.34))
    dress(by_swing, theme, x="leg swing, deg", y="door angle from gear up, deg")
    dress(by_tyre, theme, x="lowest point of the tyre, WL mm (gear up on the right)")
    dress(lower, theme, x="leg swing, deg", y="gap to the tyre, mm")
    swing = np.degrees(r.stroke.swing)
    for i, d in enumerate(r.doors):
        opening, colour = np.degrees(d.opening), COLOURS[i % len(COLOURS)]
        for ax, x, y in ((by_swing, swing, opening), (by_tyre, d.tyre_low, opening), (lower, swing, d.tyre_gap)):
            ax.plot(x, y, color=colour, linewidth=1.6, zorder=4)
        named = int(np.argmax(opening))
        name = escaped(d.name, 40)
        by_swing.annotate(name, (swing[named], opening[named]), (6, 6), textcoords="offset points", **lettering(theme))
        for at in np.degrees(d.turn_swings):
            height = float(np.interp(at, swing, opening))
            by_swing.plot([at], [height], marker="D", color=VERMILION, markersize=6, zorder=6)
            text = f"dead point, {at:.1f} deg"
            by_swing.annotate(text, (at, height), (8, -14), textcoords="offset points", **lettering(theme))
    by_swing.margins(y=0.2)
    by_tyre.margins(y=0.2)
    lower.axhline(0.0, color=VERMILION, linewidth=1.0, linestyle=(0, (6, 2)), zorder=3)
    return figure
