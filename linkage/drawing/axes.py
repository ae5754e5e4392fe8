"""Figures and axes in the house look, without any global state of matplotlib.

A figure made here never meets a window system; ``dress`` works on any axes, also those of a notebook.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from linkage.drawing.palette import LIGHT, THICK, THIN, Theme
from linkage.drawing.text import plain, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

MM = 72.0 / 25.4
"""Points per mm of paper."""

FONTS = ("DejaVu Sans",)
"""Comes with matplotlib, so a picture is the same on every machine."""

TEXT_SIZE = 8.5
"""Points; letters then stand 2.2 mm high."""


@contextlib.contextmanager
def house() -> Iterator[None]:
    """Draw with matplotlib's own defaults, whatever a user's settings file says, so that pictures repeat everywhere.

    ``paint``, ``dress``, sheets and ``save`` do so themselves; wrap charts that are drawn with bare matplotlib calls.
    """
    import matplotlib

    session = ("backend", "interactive", "toolbar", "timezone", "webagg", "keymap", "figure.hooks", "tk.", "macosx.")
    settings: Any = {k: v for k, v in matplotlib.rcParamsDefault.items() if not k.startswith(session)}
    with matplotlib.rc_context(settings):
        yield


def new_figure(width_px: int, height_px: int, dpi: float = 100.0, theme: Theme = LIGHT) -> Figure:
    """Return an empty figure of that many pixels on its own Agg canvas."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with house():
        figure = Figure(figsize=(width_px / dpi, height_px / dpi), dpi=dpi, facecolor=theme.paper)
    FigureCanvasAgg(figure)
    return figure


@house()
def dress(ax: Axes, theme: Theme = LIGHT, *, x: str = "", y: str = "", title: str = "", grid: bool = True) -> Axes:
    """Give any axes the house look and, where given, names with units and a title. User text is safe here."""
    ax.set_facecolor(theme.paper)
    ax.set_axisbelow(True)
    ax.tick_params(
        colors=theme.muted, labelcolor=theme.ink, labelsize=TEXT_SIZE - 0.5, width=THIN * MM, labelfontfamily=FONTS[0]
    )
    for spine in ax.spines.values():
        spine.set(color=theme.muted, linewidth=THIN * MM)
    ax.grid(grid, color=theme.faint, linewidth=THIN * MM) if grid else ax.grid(False)
    for text, set_label in ((x, ax.set_xlabel), (y, ax.set_ylabel)):
        if text:
            set_label(plain(text), **lettering(theme))
    if title:
        across = ax.get_position().width * ax.figure.get_figwidth() * 72.0  # type: ignore[union-attr]
        line = wrapped(title, max(int(across / (TEXT_SIZE * 0.72)), 20), 2)
        ax.set_title(line, loc="left", pad=7, **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    return ax


def lettering(
    theme: Theme, *, size: float = TEXT_SIZE, weight: str = "normal", colour: str | None = None
) -> dict[str, Any]:
    """Return text properties: the font, and no reading of ``$`` as mathematics."""
    return {
        "family": list(FONTS),
        "size": size,
        "weight": weight,
        "color": colour or theme.ink,
        "parse_math": False,
        "usetex": False,
    }


def measure(text: Text) -> tuple[float, float]:
    """Return width and height of a text as drawn, mm of paper. Works on any canvas, also one that is no raster."""
    from matplotlib.backends.backend_agg import RendererAgg

    figure = text.get_figure(root=True)
    if figure is None:
        raise ValueError("a text must stand on a figure to be measured")
    renderer: Any = RendererAgg
    box = text.get_window_extent(renderer(8, 8, figure.dpi))
    return box.width / figure.dpi * 25.4, box.height / figure.dpi * 25.4


__all__ = ["FONTS", "MM", "TEXT_SIZE", "THICK", "THIN", "dress", "house", "lettering", "measure", "new_figure"]
