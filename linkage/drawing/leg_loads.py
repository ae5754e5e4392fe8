"""Bending and shear along the leg for every ground condition, the leg drawn as it hangs: trunnion on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, PURPLE, SKY, VERMILION, Theme
from linkage.drawing.text import plain
from linkage.loads import ConditionLoad
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

COLOURS = (VERMILION, BLUE, GREEN, ORANGE, PURPLE, SKY)
DASHES: tuple[tuple[float, ...], ...] = ((), (6, 2), (1.5, 1.5), (6, 2, 1.5, 2))
MARKERS = "os^vDP*X<>"


@dataclass(frozen=True)
class Panel:
    """One diagram: what of `linkage.loads.LegLoads` it shows, in which unit, and how the sign reads."""

    field: str
    name: str
    unit: str
    scale: float


PANELS = (
    Panel("bend_aft", "fore-aft bending, + wheel pushed aft", "N m", 1e-3),
    Panel("bend_side", "side bending, + wheel pushed right", "N m", 1e-3),
    Panel("shear_aft", "fore-aft shear, aft +", "kN", 1e-3),
    Panel("shear_side", "side shear, right +", "kN", 1e-3),
)


def leg_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Four diagrams side by side with the names of the conditions below; all values at LIMIT level."""
    lines = drawn(r)
    axes = [figure.add_axes((0.065 + 0.236 * i, 0.30, 0.205, 0.54)) for i in range(len(PANELS))]
    for panel, ax in zip(PANELS, axes, strict=True):
        dress(ax, theme, x=f"{panel.name}, {panel.unit}")
        for i, load in enumerate(lines):
            ax.plot(values(load, panel), load.leg.station, **_line(i))
        _furnish(r, ax, theme)
    axes[0].set_ylabel("mm down the leg from the trunnion", **lettering(theme))
    for ax in axes[1:]:
        ax.tick_params(labelleft=False)
    figure.text(0.065, 0.945, plain(title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    figure.text(0.065, 0.895, plain(note(r)), va="top", **lettering(theme, size=TEXT_SIZE))
    _key(figure, lines, theme)
    return figure


def drawn(r: Results) -> list[ConditionLoad]:
    """The loads that are drawn: those of the whole gear."""
    return [load for load in r.loads.conditions if not load.condition.tow]


def shown(r: Results) -> bool:
    """Whether there is anything to draw."""
    return bool(drawn(r))


def values(load: ConditionLoad, panel: Panel) -> NDArray[np.float64]:
    """The curve of one condition at limit level, in the panel's unit."""
    to_limit = 1.0 if load.condition.level == "limit" else 1.0 / load.factor
    return np.asarray(getattr(load.leg, panel.field) * (panel.scale * to_limit))


def title(r: Results) -> str:
    """The answer in one line."""
    worst = next((g for g in r.loads.governing if (g.part, g.what) == ("leg", "bending, resultant")), None)
    if worst is None:
        return "No ground condition loads the leg"
    level, size = ("limit", worst.limit) if worst.limit is not None else ("ultimate", worst.ultimate)
    return (
        f"Greatest leg bending {1e-3 * (size or 0.0):.0f} N m {level}: {worst.load.condition.name}"
        f" ({worst.load.condition.rule}), at {worst.where}"
    )


def note(r: Results) -> str:
    return f"Each condition at its worst loading. Safety factor {r.loads.safety_factor:g} to ultimate not included."


def caption(r: Results) -> str:
    """Alternative text."""
    names = ", ".join(dict.fromkeys(load.condition.name for load in drawn(r)))
    return f"Bending and shear along the leg for {names}. {title(r)}. {note(r)}"


def _line(i: int) -> dict[str, Any]:
    """Colour, dashes and the mark at the lower end: together they are different for each of the first sixty."""
    return {
        "color": COLOURS[i % len(COLOURS)],
        "linestyle": (0, DASHES[(i // len(COLOURS) + i) % len(DASHES)]),
        "linewidth": 1.5,
        "marker": MARKERS[i % len(MARKERS)],
        "markevery": [-1],
        "markersize": 5,
    }


def _furnish(r: Results, ax: Axes, theme: Theme) -> None:
    """Zero line, and the stations that a reader wants to find: trunnion, lug, axle."""
    length = r.study.gear.leg.length
    ax.axvline(0.0, color=theme.ink, linewidth=0.8, zorder=1)
    ax.set_ylim(length * 1.04, -length * 0.07)
    reach = max(1e-9, *(abs(v) for v in ax.get_xlim()))
    ax.set_xlim(-reach, reach)
    lug = drawn(r)[0].leg
    station = float(lug.station[lug.place.index("below lug")])
    for at, name in ((0.0, "trunnion"), (station, "lug")):
        ax.axhline(at, color=theme.muted, linewidth=0.7, linestyle=(0, (8, 3, 1, 3)), zorder=1)
        ax.text(
            -0.98 * reach,
            at - 0.008 * length,
            name,
            va="bottom",
            ha="left",
            zorder=6,
            bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0},
            **lettering(theme, size=TEXT_SIZE - 1),
        )


def _key(figure: Figure, lines: Sequence[ConditionLoad], theme: Theme) -> None:
    """Names beside a sample of their line: the curves cross too often for labels on them."""
    ax = figure.add_axes((0.065, 0.02, 0.913, 0.17))
    ax.set_axis_off()
    ax.set_xlim(0, 2)
    ax.set_ylim(0, 1)
    rows = max(1, -(-len(lines) // 2))
    for i, load in enumerate(lines):
        x, y = i // rows, 1.0 - (i % rows + 0.5) / rows
        ax.plot([x, x + 0.08], [y, y], **_line(i))
        text = f"{load.condition.name}, {load.condition.rule}, strut {load.strut:.0f} mm"
        ax.text(x + 0.1, y, plain(text, 90), va="center", **lettering(theme, size=TEXT_SIZE))
