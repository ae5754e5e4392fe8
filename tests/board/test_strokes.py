"""What the board gives straight to the renderer lies where matplotlib's own artists would put it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from linkage.drawing.board.strokes import Pen, Strokes

BOX = np.array([1 + 1j, 6 + 1.5j, 5 + 4j, 1.5 + 3j])
LINE = np.array([0.5 + 0.5j, 7 + 4.5j, np.nan, 1 + 4.5j, 9 + 2j])


def picture(draw: Any) -> Any:
    figure = Figure(figsize=(4, 3), dpi=90)
    canvas = FigureCanvasAgg(figure)
    ax = figure.add_axes((0.1, 0.1, 0.8, 0.8))
    ax.set(xlim=(0, 8), ylim=(0, 5))
    draw(ax)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].astype(int)


def by_strokes(ax: Any) -> None:
    strokes = Strokes(ax)
    strokes.set(
        ([*BOX, BOX[0]], Pen("#202020", 1.5, fill="#ffcc00", alpha=0.6)),
        (LINE, Pen("#0055aa", 2.0, (4, 2))),
        (BOX, Pen("#111111", 1.0, fill="#ffffff", mark="o", size=8)),
    )
    ax.add_artist(strokes)


def by_artists(ax: Any) -> None:
    corners = np.column_stack([BOX.real, BOX.imag])
    ax.add_patch(
        Polygon(corners, edgecolor="#202020", linewidth=1.5, facecolor="#ffcc00", alpha=0.6, joinstyle="round")
    )
    ax.plot(LINE.real, LINE.imag, color="#0055aa", linewidth=2.0, linestyle=(0, (4, 2)), dash_joinstyle="round")
    ax.plot(BOX.real, BOX.imag, "o", color="#111111", markersize=8, markerfacecolor="#ffffff", markeredgewidth=1.0)


def test_strokes_are_drawn_as_artists_are() -> None:
    ours, theirs = picture(by_strokes), picture(by_artists)
    assert np.mean(np.abs(ours - theirs).max(axis=2) > 48) < 0.004
    assert np.mean(np.abs(theirs - picture(lambda ax: None)).max(axis=2) > 48) > 0.1


def test_nothing_is_drawn_beyond_the_axes() -> None:
    ours, empty = picture(by_strokes), picture(lambda ax: None)
    changed = (ours != empty).any(axis=2)
    assert changed.any()
    assert not changed[:, int(0.9 * 360) + 2 :].any()


@pytest.mark.parametrize("fill", ["", "#ffffff"])
def test_a_pen_without_a_stroke_only_fills(fill: str) -> None:
    def draw(ax: Any) -> None:
        strokes = Strokes(ax)
        strokes.set(([*BOX, BOX[0]], Pen(fill=fill)))
        ax.add_artist(strokes)

    assert (picture(draw) == picture(lambda ax: None)).all()
