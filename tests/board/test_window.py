"""The board in a real window: mouse, keys, saving, bad places, the exact solution, other sizes."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import ImageGrab
from typer.testing import CliRunner

from linkage.cli import app
from linkage.document.reader import Source, read
from linkage.drafting.desk import degrees
from linkage.drafting.drag import Keep
from linkage.drafting.steps import Snap
from linkage.drawing.board.opening import desk_of
from linkage.drawing.board.window import open_board
from linkage.drawing.palette import LIGHT
from linkage.solution import solve
from tests.board.screen import Window, virtual_screen
from tests.studies import MERROW


@pytest.fixture(scope="module")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    path = Path(shutil.copy(MERROW, tmp_path_factory.mktemp("board") / "study.toml"))
    with virtual_screen(), desk_of(path) as (desk, items):
        root, board = open_board(desk, items, LIGHT)
        shown = Window(root, board, path)
        shown.wait(lambda: board.pictures > 1)
        yield shown
        if not desk.ended:
            root.destroy()


def test_a_pin_is_dragged_with_the_mouse_and_everything_follows(window: Window) -> None:
    desk = window.desk
    before, picture = desk.draft.study, window.board.pictures
    force, share = desk.shown.force.copy(), desk.shown.share
    window.drag("upper pin", 8 + 4j)
    assert desk.shown.study.gear.brace.upper_pin == pytest.approx((1148, 554), abs=1.5)
    assert desk.draft.study == desk.shown.study
    assert desk.draft.study.gear.brace.upper_link == before.gear.brace.upper_link
    assert window.board.pictures > picture + 3
    assert not np.allclose(force, desk.shown.force)
    assert desk.shown.share != share
    assert desk.draft.dirty
    window.keys("ctrl+z")
    assert desk.draft.study == desk.shown.study == before
    window.keys("ctrl+y")
    assert desk.draft.study != before
    window.keys("u")
    assert not desk.draft.dirty


def test_the_screen_shows_the_picture_that_was_drawn(window: Window) -> None:
    """Every pixel of it, though only the tiles that changed are handed over."""
    desk, widget = window.desk, window.board.canvas.get_tk_widget()
    window.drag("lug", 5 - 3j)
    window.keys("End", "Tab", "Home", "s", "u")
    window.settle()
    left, top, wide, high = widget.winfo_rootx(), widget.winfo_rooty(), widget.winfo_width(), widget.winfo_height()
    screen = ImageGrab.grab(xdisplay=os.environ["DISPLAY"])
    seen = np.asarray(screen.convert("RGB"))[top : top + high, left : left + wide]
    np.testing.assert_array_equal(seen, np.asarray(window.board.canvas.buffer_rgba())[..., :3])
    desk.state = 0


def test_the_exact_solution_follows_when_the_mouse_rests(window: Window) -> None:
    desk = window.desk
    window.drag("actuator root", -6 + 5j)
    assert not desk.settled
    window.wait(lambda: desk.settled, 60)
    study = desk.draft.study
    assert desk.findings == solve(Source(window.path, "", "", study), closely=False).findings
    assert {f.code for f in desk.findings} > {f.code for f in desk.shown.findings}
    window.keys("u")
    assert not desk.settled


def test_every_mode_has_its_key(window: Window) -> None:
    desk = window.desk
    desk.selected = 0
    window.keys("Tab", "n", "p")
    assert desk.handle.name == "upper pin"
    window.keys("shift+Tab")
    assert desk.handle.name == "trunnion"
    window.keys("m", "g")
    assert (desk.keep, desk.snap) == (Keep.PLACES, Snap.STEP)
    lug = desk.shown.gear.pins["lug"].at
    window.keys("Right", "shift+Up")
    assert desk.draft.study.gear.trunnion == (841, 692)
    assert abs(desk.shown.gear.pins["lug"].at - lug) < 0.03
    window.keys("u", "u", "m", "g", "g")
    assert (desk.keep, desk.snap, desk.draft.dirty) == (Keep.LENGTHS, Snap.OFF, False)
    window.keys("End")
    assert desk.place == 1.0
    window.keys("Home", "period", "period", "comma", "greater")
    assert desk.place == pytest.approx(0.11)
    window.keys("s")
    assert desk.states[desk.state] == "tyre new"
    window.keys("S", "question")
    assert (desk.state, window.board.help.shown) == (0, True)
    window.keys("Escape", "space")
    window.wait(lambda: desk.place > 0.2)
    window.keys("space", "Home")
    assert not desk.playing


def test_saving_writes_the_file_and_keeps_its_comments(window: Window) -> None:
    window.drag("upper pin", 5 + 2j)
    window.keys("w")
    saved = window.path.read_text()
    assert "# made by the knee stop" in saved
    assert read(window.path).study == window.desk.draft.study != read(MERROW).study
    window.keys("u", "ctrl+s")
    assert window.path.read_bytes() == MERROW.read_bytes()
    assert not window.desk.draft.dirty


def test_a_file_saved_by_somebody_else_is_not_overwritten(window: Window) -> None:
    window.keys("Right")
    theirs = window.path.read_text().replace("cycle_time = 6", "cycle_time = 7")
    window.path.write_text(theirs)
    window.keys("w")
    assert "saved by somebody else" in window.desk.message
    assert window.path.read_text() == theirs
    window.keys("l")
    assert "the same again" in window.desk.message
    window.keys("l")
    assert window.desk.draft.study.gear.actuator.cycle_time == 7
    window.keys("b")
    window.wait(lambda: window.root.title() == "noseleg board: study.1.toml")


def test_where_the_gear_cannot_be_it_is_told_and_nothing_is_lost(window: Window) -> None:
    desk = window.desk
    before = desk.draft
    index = [h.name for h in desk.handles].index("upper pin")
    start = desk.seen(desk.handles[index])
    window.hand("mousemove", *window.spot(start), "mousedown", 1, "mousemove", *window.spot(start + 260 + 90j))
    window.wait(lambda: "cannot close" in desk.trouble)
    window.settle()
    assert window.board.side.grey  # the last good gear, in grey
    window.hand("mouseup", 1)
    window.wait(lambda: desk.grip is None)
    assert "not taken" in desk.message and "mm away" in desk.message
    assert desk.draft is before
    assert desk.shown.study == before.study


def test_the_stroke_is_scrubbed_with_the_mouse(window: Window) -> None:
    box = window.board.ruler.ax.bbox
    widget = window.board.canvas.get_tk_widget()
    x, y = widget.winfo_rootx(), widget.winfo_rooty() + window.board.figure.bbox.height - (box.y0 + box.y1) / 2
    window.hand("mousemove", round(x + box.x0 + 20), round(y), "mousedown", 1)
    window.settle()
    window.hand("mousemove", round(x + (box.x0 + box.x1) / 2), round(y), "mouseup", 1)
    window.wait(lambda: abs(degrees(window.desk) - 46) < 2)
    seen = window.desk.seen(next(h for h in window.desk.handles if h.name == "axle"))
    assert seen.imag > window.desk.shown.gear.pins["axle"].at.imag + 100


@pytest.mark.parametrize("size", [(1000, 640), (1380, 860)])
def test_another_size_is_laid_out_anew(window: Window, size: tuple[int, int]) -> None:
    window.root.geometry(f"{size[0]}x{size[1]}")
    window.wait(lambda: tuple(window.board.figure.bbox.size.round()) == size)
    window.settle(0.5)
    renderer = window.board.canvas.get_renderer()
    boxes = [ax.get_tightbbox(renderer) for ax in window.board.figure.axes if ax.axison]
    for box in boxes:
        assert box.x0 >= -1 and box.y0 >= -1 and box.x1 <= size[0] + 1 and box.y1 <= size[1] + 1
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            assert not a.overlaps(b)


def test_closing_with_changes_asks_first(window: Window) -> None:
    window.keys("Home", "Left", "q")
    assert "not saved" in window.desk.message
    assert not window.desk.ended
    window.keys("u", "q")
    assert window.desk.ended


def test_without_a_window_system_the_page_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DISPLAY", raising=False)
    result = CliRunner().invoke(app, ["board", str(MERROW)])
    assert result.exit_code == 2
    assert "--web" in result.output
    wrong = CliRunner().invoke(app, ["board", str(MERROW.parent / "none.toml")])
    assert wrong.exit_code == 2


@pytest.mark.parametrize("busy", [False, True], ids=["at rest", "while it plays"])
def test_ctrl_c_in_the_terminal_ends_it(busy: bool, tmp_path: Path) -> None:
    """Also in the middle of an event, and for the processes beside it, which say nothing."""
    path = Path(shutil.copy(MERROW, tmp_path / "study.toml"))
    command = [sys.executable, "-m", "linkage", "board", str(path), "--set", "gear.trunnion[0]=841"]
    with virtual_screen():
        board = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
        )
        try:
            search = ["xdotool", "search", "--sync", "--onlyvisible", "--name", "noseleg board"]
            found = subprocess.run(search, check=True, capture_output=True, text=True, timeout=60).stdout.split()[-1]
            time.sleep(2.0)
            if busy:
                subprocess.run(["xdotool", "windowfocus", found, "key", "space"], check=True, timeout=20)
                time.sleep(1.0)
            os.killpg(board.pid, signal.SIGINT)
            out, err = board.communicate(timeout=20)
        finally:
            board.kill()
            board.communicate()
    assert (board.returncode, err) == (130, "")
    assert "not saved: the changes to study.toml are gone" in out
