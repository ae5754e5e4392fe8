"""Pictures a second while a pin of the demo is dragged, in a window and in a browser; ``pytest -m benchmark -s``."""

from __future__ import annotations

import math
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest

from linkage.drawing.board.opening import desk_of
from linkage.drawing.board.window import open_board
from linkage.drawing.palette import LIGHT
from tests.board.screen import Window, virtual_screen
from tests.board.test_page import Page, page, spot
from tests.studies import MERROW

WANTED = 30.0
"""Pictures a second on a quiet machine. Rates are printed; asserted is the board's own part of the processor's time for
the best picture, which others on the machine disturb least."""

BUSY = 2.0
"""Work of others beside it takes cache and clock away."""

GLANCE = 12.0
"""ms of a picture's time that belong to the glance (tests/benchmarks/test_glance_speed.py)."""

__all__ = ["page"]


@pytest.mark.benchmark
def test_pictures_in_a_window() -> None:
    with virtual_screen(), desk_of(MERROW) as (desk, items):
        root, board = open_board(desk, items, LIGHT)
        shown = Window(root, board, Path(MERROW))
        shown.wait(lambda: desk.settled, 60)
        taken: list[float] = []
        glances: list[float] = []
        draw, judge = board._tick, desk.judge

        def timed(now: float) -> None:
            start, before, looked = time.thread_time(), board.pictures, len(glances)
            draw(now)
            if board.pictures > before and len(glances) > looked:  # a picture after a move, not of a message or a mark
                taken.append(time.thread_time() - start - sum(glances[looked:]))

        def looked(study: Any) -> Any:
            start = time.thread_time()
            found = judge(study)
            glances.append(time.thread_time() - start)
            return found

        board._tick, desk.judge = timed, looked  # type: ignore[method-assign]
        index = [h.name for h in desk.handles].index("upper pin")
        x, y = shown.spot(desk.seen(desk.handles[index]))
        shown.hand("mousemove", x, y, "mousedown", 1)
        shown.wait(lambda: desk.grip is not None)
        way: list[Any] = []
        for k in range(300):
            way += ["mousemove", x + round(9 * math.sin(k / 12)), y + round(6 * math.sin(k / 9)), "sleep", "0.012"]
        mouse = subprocess.Popen(["xdotool", *map(str, way)])
        first, start = board.pictures, time.monotonic()
        shown.wait(lambda: mouse.poll() is not None, 120)
        rate = (board.pictures - first) / (time.monotonic() - start)
        shown.hand("mouseup", 1)
        shown.settle()
        root.destroy()
    own, glance = 1e3 * min(taken), 1e3 * min(glances)
    print(f"\nwindow: {rate:.1f} pictures/s; processor at best {own:.1f} ms a picture and {glance:.1f} ms its glance")
    assert own < BUSY * (1e3 / WANTED - GLANCE)


@pytest.mark.benchmark
def test_pictures_in_a_browser(page: Page) -> None:
    x, y, _ = spot(page, "upper pin")
    page.browser.execute_script(DRAG, x, y)
    page.wait(lambda: page.browser.execute_script("return window.done"), 60)
    rate, size = page.browser.execute_script("return [window.rate, window.size]")
    print(f"\nbrowser: {rate:.1f} pictures/s of {size / 1000:.0f} kB")
    assert rate > 0


DRAG = """
const [x, y] = arguments;
const send = (name, dx, dy, buttons) => board.send_message(
  name, {x: x + dx, y: y + dy, button: 0, step: 0, buttons: buttons, modifiers: [], guiEvent: {}});
let pictures = 0, bytes = 0, k = 0;
const take = board.ws.onmessage;
board.ws.onmessage = (event) => {
  if (event.data instanceof Blob) { pictures++; bytes += event.data.size; }
  take(event);
};
window.done = false;
send('motion_notify', 0, 0, 0);
send('button_press', 0, 0, 1);
const start = performance.now();
const timer = setInterval(() => {
  send('motion_notify', 9 * Math.sin(++k / 12), 6 * Math.sin(k / 9), 1);
  if (performance.now() - start > 5000) {
    clearInterval(timer);
    window.rate = pictures / ((performance.now() - start) / 1000);
    window.size = bytes / Math.max(pictures, 1);
    window.done = true;
  }
}, 12);
"""
