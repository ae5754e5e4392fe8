"""The board without a window: scales that fit, a study read again, presses that come without their release."""

from __future__ import annotations

import shutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.backend_bases import KeyEvent, MouseEvent
from matplotlib.colors import to_rgb
from shapely import box

from linkage.checks.finding import number
from linkage.document.study import Study
from linkage.drafting.desk import Desk
from linkage.drafting.draft import begin
from linkage.drafting.shown import Judge
from linkage.drawing.axes import new_figure
from linkage.drawing.board.board import Bay, Board
from linkage.drawing.board.letters import Note, length
from linkage.drawing.board.naming import names, of_state, result
from linkage.drawing.board.parts import TILE, Parts
from linkage.drawing.board.posing import posed
from linkage.drawing.board.side import _skeleton
from linkage.drawing.palette import LIGHT
from linkage.drawing.scene import Role
from linkage.obstacles import Obstacle
from tests.drafting.files import write_study
from tests.studies import MERROW, OSTREL, quick
from tests.topologies import VARIANTS


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


def board_on(desk: Desk, size: tuple[int, int] = (1280, 800), bay: Bay = lambda study: ()) -> Board:
    figure = new_figure(*size)
    canvas: Any = figure.canvas
    canvas.blit = lambda: None
    return Board(figure, desk, bay)


def test_a_mode_changed_while_a_pin_is_in_hand_holds_at_once() -> None:
    desk = Desk(begin(MERROW), Judge(MERROW.parent))
    board = board_on(desk)
    desk.grab([h.name for h in desk.handles].index("lug"))
    z = desk.handle.at + 4 - 7j
    board.pointed(*board.side.ax.transData.transform((z.real, z.imag)))
    board._tick(0.0)
    assert abs(desk.seen(desk.handle) - z) > 1.0  # on the circle of the brace
    board._key(KeyEvent("key_press_event", board.canvas, "m"))
    board._tick(0.1)
    assert abs(desk.seen(desk.handle) - z) < 0.1


def test_a_pin_taken_beside_its_middle_does_not_jump_and_a_click_moves_nothing() -> None:
    desk = Desk(begin(MERROW), Judge(MERROW.parent))
    board = board_on(desk)
    board.refresh()
    pin = next(h for h in desk.handles if h.name == "upper pin").at
    x, y = (round(v) for v in board.side.ax.transData.transform((pin.real, pin.imag)))
    board._pressed(MouseEvent("button_press_event", board.canvas, x + 11, y - 6, 1))
    board.pointed(x + 12, y - 7)
    board._released(MouseEvent("button_release_event", board.canvas, x + 12, y - 7, 1))
    assert not desk.draft.dirty
    board._pressed(MouseEvent("button_press_event", board.canvas, x + 11, y - 6, 1))
    board.pointed(x + 11 + 8, y - 6 + 4)
    board._released(MouseEvent("button_release_event", board.canvas, x + 11 + 8, y - 6 + 4, 1))
    scale = board.side.ax.transData.transform((1, 0))[0] - board.side.ax.transData.transform((0, 0))[0]
    moved = complex(*desk.draft.study.gear.brace.upper_pin) - pin
    assert moved == pytest.approx((8 + 4j) / scale, abs=0.02)


def test_a_gear_that_the_actuator_does_not_drive_is_said_to_get_no_push() -> None:
    desk = Desk(begin(OSTREL), Judge(OSTREL.parent))
    board = board_on(desk)
    assert board.force.head.text == "push at 2 g: none here"
    desk.scrub(1.0)
    board.refresh()
    assert board.force.head.text.endswith(" N") and "nan" not in board.force.head.text


def test_a_brace_without_a_knee_has_no_chart_of_one(tmp_path: Path) -> None:
    path = write_study(tmp_path, "telescoping")
    board = board_on(Desk(begin(path), Judge(tmp_path)))
    assert board.knee.head.text == "this brace has no knee"
    assert not board.knee.ax.get_visible()


@pytest.mark.parametrize("size", [(1280, 800), (900, 1300), (2500, 620)])
def test_the_bay_is_drawn_to_the_edges_of_the_side_view(size: tuple[int, int]) -> None:
    """Else an item would seem to end where the view was once thought to."""
    item = Obstacle("wall", box(1100.0, -5000.0, 1200.0, 5000.0), 0.0, ((-100.0, 100.0),), 10.0, False, frozenset())
    board = board_on(Desk(begin(MERROW), Judge(MERROW.parent)), size, lambda study: (item,))
    board.figure.canvas.draw()
    (x0, x1), (y0, y1) = board.side.ax.get_xlim(), board.side.ax.get_ylim()
    drawn = [p.get_path().get_extents() for p in board.side.ax.patches]
    wall = next(e for e in drawn if abs(e.x0 - 1100) < 1 and abs(e.x1 - 1200) < 1)
    assert wall.y0 <= y0 + 1 and wall.y1 >= y1 - 1 and x0 < 1100 < x1


@pytest.mark.parametrize("size", [(800, 500), (1280, 800)])
def test_the_name_of_a_pin_stays_within_the_side_view_and_off_the_others(size: tuple[int, int]) -> None:
    desk = Desk(begin(MERROW), Judge(MERROW.parent))
    board = board_on(desk, size)
    side = board.side
    for place in (0.0, 0.4, 1.0):
        desk.scrub(place)
        for pin in range(len(desk.handles)):
            desk.selected = pin
            board.refresh()
            x, y = side.name.place
            wide = length(side.name.text, side.name.size * board.figure.dpi / 72.0, True)
            assert x >= side.ax.bbox.x0 - 0.1 and x + wide <= side.ax.bbox.x1 + 0.1
            own = side.ax.transData.transform((side.at[desk.selected].real, side.at[desk.selected].imag))
            assert abs(y - own[1]) > 10


def test_a_spring_of_the_lock_is_drawn_from_pin_to_pin() -> None:
    desk = Desk(begin(OSTREL), Judge(OSTREL.parent))
    gear = desk.shown.gear
    lines = _skeleton(gear, desk.handles, posed(gear, np.array([0.0])))
    pins = {h.name: h.at for h in desk.handles}
    start = int(np.argmin(abs(np.nan_to_num(lines) - pins["lock spring from"])))
    assert abs(lines[start] - pins["lock spring from"]) < 1e-6
    assert abs(lines[start + 1] - pins["lock spring to"]) < 1e-6


@pytest.mark.parametrize("name", sorted({*VARIANTS} - {"actuator in the brace"}))  # there it is the brace
def test_no_line_is_drawn_twice_nor_where_nothing_is(name: str, tmp_path: Path) -> None:
    """From the root of lock links to their pin there is their knee between; a crank's rod is one line."""
    path = write_study(tmp_path, name)
    desk = Desk(begin(path), Judge(tmp_path))
    gear = desk.shown.gear
    lines = _skeleton(gear, desk.handles, posed(gear, np.array([0.0])))
    seen = [frozenset(np.round(pair, 6)) for pair in pairwise(lines) if np.isfinite(pair).all()]
    seen = [pair for pair in seen if len(pair) == 2]
    pins = {name: round(p.at.real, 6) + 1j * round(p.at.imag, 6) for name, p in gear.pins.items()}
    assert len(seen) == len(set(seen)) > 2
    if gear.lock_link is not None:
        assert frozenset((pins["lock root"], pins["lock pin"])) not in seen


def test_no_two_findings_are_told_alike_and_numbers_are_those_of_check() -> None:
    findings = quick(MERROW).findings
    name = names(findings)
    told = [(name(f), f.required[:2]) for f in findings]
    assert len(set(told)) == len(told)
    for f in findings:
        assert result(f).startswith(f"{number(f.actual)} ")
        assert f.required in result(f) and result(f).split()[1][0] in "<>="
    state = next(f for f in findings if f.code == "gap-state")
    assert state.state in name(state)
    assert of_state(replace(state, state="engine moving (1 deg)"), "engine moving")
    assert not of_state(state, "engine")


def test_a_long_message_is_told_in_two_lines_and_a_long_title_keeps_what_is_saved() -> None:
    desk = Desk(begin(MERROW, {"title": "A long title " * 30}), Judge(MERROW.parent))
    board = board_on(desk, (800, 600))
    desk.message = "not taken: " + "the links cannot close " * 6 + "by 12 mm"
    board.refresh()
    strips = board.strips
    assert f"{strips.message.text} {strips.more.text}" == desk.message
    assert strips.title.text.endswith("[study.toml, * not saved]") and "\u2026" in strips.title.text
    room = strips.width * board.figure.dpi
    for line in (strips.message, strips.more, strips.title):
        assert length(line.text, line.size * board.figure.dpi / 72.0, line.bold) <= room
