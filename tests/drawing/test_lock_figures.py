"""Figures of lock and doors: they show what was computed, and their titles say the answer."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.drawing.axes import new_figure
from linkage.drawing.door_figures import caption as door_caption
from linkage.drawing.door_figures import door_figure
from linkage.drawing.gallery import gallery
from linkage.drawing.lock_figures import caption, lock_figure, title
from linkage.drawing.palette import DARK
from linkage.drawing.save import png_bytes
from linkage.results import Results
from tests.topologies import solved


def results(name: str) -> Results:
    return solved(name).results


def test_offset_curve_is_the_computed_one() -> None:
    r = results("upper link")
    ax = lock_figure(r, new_figure(1400, 620)).axes[0]
    assert r.lock.travel is not None
    drawn = max(ax.lines, key=lambda line: len(line.get_xdata()))
    assert np.array_equal(drawn.get_xydata(), r.lock.travel.curve.T)
    marks = {line.get_marker(): tuple(line.get_xydata()[0]) for line in ax.lines if len(line.get_xdata()) == 1}
    assert marks["D"] == (r.lock.travel.dead_travel, 0.0)
    assert marks["o"][1] == pytest.approx(5.0)


def test_bars_are_the_loads_of_the_conditions() -> None:
    r = results("upper link")
    ax = lock_figure(r, new_figure(1400, 620)).axes[1]
    widths = [patch.get_width() for patch in ax.patches]
    assert widths == [h.press for h in r.lock.held]
    names = [t.get_text().splitlines()[0] for t in ax.get_yticklabels()]
    assert names == [h.load.condition.name for h in r.lock.held]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("upper link", "0.92 mm short of the lock the knee is on centre"),
        ("leg", "driven back"),
        ("lock links", "driven"),
    ],
)
def test_title_says_the_answer(name: str, words: str) -> None:
    assert words in title(results(name))
    assert title(results(name)) in caption(results(name))


@pytest.mark.parametrize("name", ["upper link", "leg", "lock links", "door", "telescoping"])
def test_gallery_shows_what_the_gear_has(name: str) -> None:
    names = {p.name for p in gallery(results(name))}
    assert ("lock" in names) == (name != "telescoping")
    assert ("doors" in names) == (name == "door")


def test_nothing_is_written_over_the_edge() -> None:
    """Every text lies on the paper, in both themes."""
    for theme_figure in (
        lock_figure(results("upper link"), new_figure(1400, 620)),
        lock_figure(results("leg"), new_figure(1400, 620), DARK),
        door_figure(results("door"), new_figure(1100, 760)),
    ):
        png_bytes(theme_figure, title="t", alt="a")
        width, height = theme_figure.canvas.get_width_height()
        for ax in theme_figure.axes:
            boxes = [t.get_window_extent() for t in (*ax.texts, ax.title, *ax.get_yticklabels()) if t.get_text()]
            assert all(b.x0 > 0 and b.x1 < width and b.y0 > 0 and b.y1 < height for b in boxes)


def test_door_figure_marks_no_dead_point_where_there_is_none() -> None:
    r = results("door")
    assert "without a dead point" in door_caption(r)
    upper = door_figure(r, new_figure(1100, 760)).axes[0]
    assert not [line for line in upper.lines if line.get_marker() == "D"]
