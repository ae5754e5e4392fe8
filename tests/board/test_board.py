"""The board without a window: scales that fit, a study read again, presses that come without their release."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.backend_bases import MouseEvent
from matplotlib.colors import to_rgb

from linkage.document.study import Study
from linkage.drafting.desk import Desk
from linkage.drafting.draft import begin
from linkage.drafting.shown import Judge
from linkage.drawing.axes import new_figure
from linkage.drawing.board.board import Board
from linkage.drawing.board.letters import Note
from linkage.drawing.board.parts import TILE, Parts
from linkage.drawing.palette import LIGHT
from linkage.drawing.scene import Role
from linkage.obstacles import Obstacle
from tests.studies import MERROW


@pytest.mark.parametrize("offset", [1.5, 2.0, 5.0, 7.9, 30.0])
def test_a_chart_fits_what_it_was_scaled_for(offset: float) -> None:
    desk = Desk(begin(MERROW, {"gear.brace.over_centre": offset}), Judge(MERROW.parent))
    board = Board(new_figure(1280, 800), desk, lambda study: ())
    board.knee.scale(desk)
    board.force.scale(desk)
    assert board.knee.fits(desk) and board.force.fits(desk)


def test_a_study_read_again_is_laid_out_anew(tmp_path: Path) -> None:
    path = Path(shutil.copy(MERROW, tmp_path / "study.toml"))
    seen: list[Study] = []

    def bay(study: Study) -> tuple[Obstacle, ...]:
        seen.append(study)
        return ()

    desk = Desk(begin(path), Judge(MERROW.parent))
    figure = new_figure(1280, 800)
    canvas: Any = figure.canvas
    canvas.blit = lambda: None
    board = Board(figure, desk, bay)
    board._tick(0.0)
    path.write_text(path.read_text().replace("over_centre = 5", "over_centre = 6"))
    desk.reload(1.0)
    board._tick(1.0)
    assert [study.gear.brace.over_centre for study in seen] == [5.0, 6.0]


def test_a_press_while_a_pin_is_in_hand_lets_that_one_go_first() -> None:
    desk = Desk(begin(MERROW), Judge(MERROW.parent))
    figure = new_figure(1280, 800)
    canvas: Any = figure.canvas
    canvas.blit = lambda: None
    board = Board(figure, desk, lambda study: ())
    board.refresh()
    desk.grab([h.name for h in desk.handles].index("upper pin"))
    desk.pull(1143 + 552j, 0.0)
    other = next(h for h in desk.handles if h.name == "actuator root")
    x, y = board.side.ax.transData.transform((other.at.real, other.at.imag))
    board._pressed(MouseEvent("button_press_event", canvas, x, y, 1))
    assert desk.draft.state.done == "upper pin moved"
    assert desk.grip is not None and desk.grip.name == "actuator root"


def test_a_refused_place_is_told_within_the_side_view() -> None:
    desk = Desk(begin(MERROW), Judge(MERROW.parent))
    figure = new_figure(800, 500)
    canvas: Any = figure.canvas
    canvas.blit = lambda: None
    board = Board(figure, desk, lambda study: ())
    board.refresh()
    before = np.asarray(canvas.buffer_rgba()).copy()
    desk.trouble = "gear.brace: the links cannot close with the gear down, by " + "some mm, " * 60
    board.refresh()
    rows, columns = np.nonzero((np.asarray(canvas.buffer_rgba()) != before).any(axis=-1))
    box = board.side.ax.bbox
    assert columns.min() >= box.x0 and columns.max() <= box.x1
    assert rows.min() >= figure.bbox.height - box.y1
    frame = np.round(255 * np.array(to_rgb(LIGHT.style(Role.WORST).stroke)))
    corner = np.asarray(canvas.buffer_rgba())[round(figure.bbox.height - box.y1) + Note.MARGIN, round(box.x0) + 20, :3]
    assert (corner == frame).all()


def test_what_changed_is_handed_over_and_no_more() -> None:
    figure = new_figure(400, 300)
    canvas: Any = figure.canvas
    taken: list[Any] = []
    canvas.draw()
    screen = np.asarray(canvas.buffer_rgba()).copy()
    pixels = np.asarray(canvas.buffer_rgba())
    parts = Parts(canvas, taken.extend)
    canvas.blit = lambda: taken.append(None)
    parts.put()
    assert taken == [None], "the first picture is handed over whole"
    rng = np.random.default_rng(3)
    for _ in range(30):
        taken.clear()
        top, left = rng.integers(0, 300), rng.integers(0, 400)
        pixels[top : top + rng.integers(1, 60), left : left + rng.integers(1, 90), :3] = rng.integers(0, 256, 3)
        parts.put()
        for x0, x1, y0, y1 in taken:
            screen[y0:y1, x0:x1] = pixels[y0:y1, x0:x1]
        assert np.array_equal(screen, pixels)
        assert sum((x1 - x0) * (y1 - y0) for x0, x1, y0, y1 in taken) <= (60 + 2 * TILE) * (90 + 2 * TILE)
    canvas.draw()
    taken.clear()
    parts.put()
    assert taken == [None], "after a picture that the canvas hands over by itself"
