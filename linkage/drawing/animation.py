"""Moving pictures: the still part of a figure is drawn once, then only what moves is drawn on a copy of it.

Frames equal a full redraw: what moves is drawn in the order of its layers, together with any still artist that lies
above it. Keep such artists few and ``axisbelow=True`` (``axes.dress`` sets it): an axis above the moving parts costs
much to draw.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

Frame = NDArray[np.uint8]
"""(rows, columns, 4) RGBA, upper row first."""

Progress = Callable[[int, int], None]
"""Called as ``progress(frames done, frames in all)``."""


@dataclass(frozen=True)
class Clip:
    """A moving picture that can be drawn as often as wanted.

    ``update(i)`` must set every one of ``artists`` for frame ``i``, whatever was shown before. ``hold`` gives how many
    frame times each frame stays (None: one each), so a pause costs one drawing only.
    """

    figure: Figure
    artists: tuple[Artist, ...]
    update: Callable[[int], object]
    count: int
    fps: float = 25.0
    hold: tuple[int, ...] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "artists", tuple(self.artists))
        if self.count < 1 or not self.fps > 0:
            raise ValueError(f"count={self.count} must be >= 1 and fps={self.fps} must be > 0")
        if self.hold is not None:
            object.__setattr__(self, "hold", tuple(self.hold))
            if len(self.hold) != self.count or min(self.hold) < 1:
                raise ValueError(f"hold must give {self.count} numbers >= 1")

    def holds(self) -> tuple[int, ...]:
        """Return how many frame times each frame stays."""
        return self.hold or (1,) * self.count

    def seconds(self) -> float:
        """Return the playing time."""
        return sum(self.holds()) / self.fps

    def frames(self, which: Sequence[int] | None = None) -> Iterator[Frame]:
        """Yield the frames (or those numbered in ``which``), each an array of its own."""
        return blit(self.figure, self.artists, self.update, range(self.count) if which is None else which)


def blit(
    figure: Figure, artists: Sequence[Artist], update: Callable[[int], object], which: Sequence[int]
) -> Iterator[Frame]:
    """Yield one RGBA frame per number in ``which`` after calling ``update`` with it.

    The figure keeps its canvas when that is an Agg one (those of matplotlib's window back ends are), else it gets one.
    ``ValueError`` when an artist stands neither directly on the figure nor on one of its axes. Artists are marked
    animated while the generator runs and set back when it ends.
    """
    canvas = agg_canvas(figure)
    moving = {id(artist) for artist in artists}
    drawn = [*artists, *_above(figure, moving)]
    ordered = _in_layers(figure, {id(artist) for artist in drawn})
    before = [artist.get_animated() for artist in drawn]
    try:
        # Animated artists are left out of the still picture but, unlike hidden ones, keep their place in the layout.
        for artist in drawn:
            artist.set_animated(True)
        update(which[0] if len(which) else 0)
        canvas.draw()
        renderer = canvas.get_renderer()
        background = canvas.copy_from_bbox(figure.bbox)
        for i in which:
            update(i)
            canvas.restore_region(background)
            for artist in ordered:
                artist.draw(renderer)
            yield np.array(canvas.buffer_rgba(), dtype=np.uint8)
    finally:
        for artist, animated in zip(drawn, before, strict=True):
            artist.set_animated(animated)


def agg_canvas(figure: Figure) -> Any:
    """Return the Agg canvas of a figure, made when there is none."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    return figure.canvas if isinstance(figure.canvas, FigureCanvasAgg) else FigureCanvasAgg(figure)


def redraw(figure: Figure) -> Frame:
    """Return the figure drawn in full, as blitted frames have to look."""
    canvas = agg_canvas(figure)
    canvas.draw()
    return np.array(canvas.buffer_rgba(), dtype=np.uint8)


def _layers(figure: Figure) -> Iterator[tuple[int, Artist]]:
    """All artists in the order of drawing, each with the number of the axes (or figure level) it belongs to."""
    from matplotlib.axes import Axes

    top = sorted((a for a in figure.get_children() if a is not figure.patch), key=lambda a: a.get_zorder())
    for owner, artist in enumerate(top):
        if not isinstance(artist, Axes):
            yield owner, artist
            continue
        inside = [a for a in artist.get_children() if a is not artist.patch]
        if not artist.axison:
            inside = [a for a in inside if a not in (*artist.spines.values(), artist.xaxis, artist.yaxis)]
        yield from ((owner, a) for a in sorted(inside, key=lambda a: a.get_zorder()))


def _in_layers(figure: Figure, wanted: set[int]) -> list[Artist]:
    found = [artist for _, artist in _layers(figure) if id(artist) in wanted]
    if len(found) < len(wanted):
        raise ValueError("every animated artist must stand directly on the figure or on one of its axes")
    return found


def _above(figure: Figure, moving: set[int]) -> list[Artist]:
    """Visible still artists that are drawn after a moving one of the same axes and would otherwise vanish under it."""
    above: list[Artist] = []
    reached: set[int] = set()
    for owner, artist in _layers(figure):
        if id(artist) in moving:
            reached.add(owner)
        elif owner in reached and artist.get_visible() and not _empty(artist):
            above.append(artist)
    return above


def _empty(artist: Artist) -> bool:
    """Tell texts without letters, such as unused titles."""
    from matplotlib.text import Text

    return isinstance(artist, Text) and not artist.get_text()
