"""Bars of the dimensions that move a result most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from linkage.drawing.axes import TEXT_SIZE, dress, house, lettering, new_figure
from linkage.drawing.palette import BLUE, LIGHT, ORANGE, Theme
from linkage.drawing.text import plain, wrapped
from linkage.sensitivity import WORST, Line, Row, Sensitivity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PANELS, COLUMNS = 6, 2
"""Results on one sheet."""


@house()
def bars(line: Line, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """The ten dimensions of greatest effect: how much one mm, degree, kilogram or newton of each moves the result.

    Blue to the right where the result grows with the dimension, orange hatched to the left where it falls; a tolerance
    that is too wide for the finding is said beside its bar.
    """
    unit = f", {line.unit}" if line.unit else ""
    dress(ax, theme, x=f"effect of one mm, deg or kg{unit}", title=title(line))
    rows = by_effect(line)[:WORST][::-1]
    if not rows:
        why = wrapped(line.tied or "no dimension moves it", 44, 3)
        ax.text(0.5, 0.5, why, ha="center", va="center", transform=ax.transAxes, **lettering(theme))
        return ax
    effects = [effect(row) for row in rows]
    for place, size in enumerate(effects):
        grows = size > 0
        colour, hatch = (BLUE, "") if grows else (ORANGE, "///")
        ax.barh(place, size, color=colour, hatch=hatch, edgecolor=theme.ink, linewidth=0.5, height=0.7, zorder=3)
    ax.axvline(0.0, color=theme.ink, linewidth=0.8, zorder=4)
    ax.set_yticks(range(len(rows)), [plain(row.dimension.name, 46).replace("$", r"\$") for row in rows])
    ax.set_ylim(len(rows) - WORST - 0.5, len(rows) - 0.5)
    reach = max(abs(e) for e in effects)
    low, high = min(0.0, *effects), max(0.0, *effects)
    ax.set_xlim(low - 0.55 * reach * (low < 0), high + 0.55 * reach * (high > 0))
    for place, (row, size) in enumerate(zip(rows, effects, strict=True)):
        side = 1.0 if size > 0 else -1.0
        ax.annotate(
            beside(row),
            (size, place),
            xytext=(3 * side, 0),
            textcoords="offset points",
            ha="left" if size > 0 else "right",
            va="center",
            zorder=5,
            **lettering(theme, size=TEXT_SIZE - 1.5),
        )
    return ax


def effect(row: Row) -> float:
    """Of one mm, degree, kilogram or newton."""
    return row.derivative / row.dimension.factor


def by_effect(line: Line) -> list[Row]:
    """The dimensions that move the result itself, the greatest effect first."""
    return sorted((row for row in line.rows if row.derivative), key=lambda row: -abs(effect(row)))


def beside(row: Row) -> str:
    """What stands beside a bar."""
    text = f"{effect(row):+.3g}{' *' if row.kink else ''}"
    return f"{text}, tolerance too wide" if row.too_wide else text


def title(line: Line) -> str:
    """The answer in one line."""
    rows = by_effect(line)
    if not rows:
        return f"{line.title}: no derivative"
    return f"{line.title}: {rows[0].dimension.name} moves it most"


def caption(shown: Sequence[Line]) -> str:
    """Alternative text."""
    return " ".join(f"{title(line)}." for line in shown)


@house()
def sheets(found: Sensitivity, theme: Theme = LIGHT) -> Iterator[tuple[Figure, tuple[Line, ...]]]:
    """Figures of six results each, those that a finding judges, or all if none is; with what each shows."""
    judged = [line for line in found.lines if line.bounds] or list(found.lines)
    for start in range(0, len(judged), PANELS):
        shown = tuple(judged[start : start + PANELS])
        down = -(-len(shown) // COLUMNS)
        figure = new_figure(1700, 80 + 400 * down, theme=theme)
        for i, line in enumerate(shown):
            low = 1.0 - (i // COLUMNS + 1) / down
            bars(line, figure.add_axes((0.17 + 0.5 * (i % COLUMNS), low + 0.16 / down, 0.31, 0.72 / down)), theme)
        yield figure, shown
