"""Lines, outlines and marks that change with every picture, given straight to the renderer: an artist of matplotlib for
each costs several times what its strokes do."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.colors import to_rgba
from matplotlib.markers import MarkerStyle
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@dataclass(frozen=True)
class Pen:
    """How a stroke looks: colours, "" for none; ``width`` in points; ``dash``: on and off by turns, in widths;
    ``alpha`` from 0 to 1. With a ``mark`` each point is marked, ``size`` points wide, instead of joined."""

    stroke: str = ""
    width: float = 1.0
    dash: tuple[float, ...] = ()
    fill: str = ""
    alpha: float = 1.0
    mark: str | Path = ""
    size: float = 0.0


class Strokes(Artist):
    """What was last `set` on some axes, drawn in that order and cut off at their edge."""

    def __init__(self, ax: Axes) -> None:
        super().__init__()
        self.ax = ax
        self.drawn: list[tuple[Path, Pen]] = []
        self._contexts: dict[tuple[Pen, float], Any] = {}

    def set(self, *drawn: tuple[Any, Pen]) -> None:  # type: ignore[override]
        """Points x + 1j*y in the units of the axes, broken by NaN, or whole paths; each with its pen."""
        self.drawn = [(d if isinstance(d, Path) else path_of(d), pen) for d, pen in drawn]

    def draw(self, renderer: Any) -> None:
        if not self.get_visible():
            return
        place = self.ax.transData.get_affine()
        for path, pen in self.drawn:
            gc = self._context(renderer, pen)
            fill = to_rgba(pen.fill, pen.alpha) if pen.fill else None
            if pen.mark:
                shape, size = _mark(pen.mark, renderer.points_to_pixels(pen.size))
                renderer.draw_markers(gc, shape, size, path, place, fill)
            else:
                renderer.draw_path(gc, path, place, fill)

    def _context(self, renderer: Any, pen: Pen) -> Any:
        key = (pen, renderer.dpi)
        if key not in self._contexts:
            self._contexts[key] = gc = renderer.new_gc()
            gc.set_clip_rectangle(self.ax.bbox)
            gc.set_linewidth(pen.width if pen.stroke else 0.0)
            gc.set_foreground(to_rgba(pen.stroke or "none", pen.alpha), isRGBA=True)
            gc.set_joinstyle("round")
            if pen.dash:
                gc.set_dashes(0.0, [pen.width * d for d in pen.dash])
        return self._contexts[key]


def path_of(points: Any) -> Path:
    """An open path through points x + 1j*y, broken by NaN."""
    z = np.atleast_1d(np.asarray(points, dtype=np.complex128))
    return Path(z.view(np.float64).reshape(-1, 2))


@cache
def _mark(mark: str | Path, size: float) -> tuple[Path, Affine2D]:
    style = MarkerStyle(mark)
    return style.get_path(), Affine2D(style.get_transform().get_matrix()).scale(size)
