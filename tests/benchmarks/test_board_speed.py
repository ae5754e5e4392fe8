"""Updates a second while a pin of the demo is dragged, in a window and in a browser; ``pytest -m benchmark -s``.

As for the glance, a fixed piece of work before and after each drag tells how fast the machine is just then
(`measure.work`); rates are printed as they were and as they would be where that work takes its time at rest, and
the second is held to what is wanted. Nothing else must run beside: two processors are just enough.
"""

from __future__ import annotations

import math
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import pytest

from linkage.drafting.shown import Shown
from linkage.drawing.board.opening import desk_of
from linkage.drawing.board.window import open_board
from linkage.drawing.palette import LIGHT
from tests.benchmarks.measure import WORK, work
from tests.board.screen import Window, virtual_screen
from tests.board.test_page import Page, page, spot
from tests.studies import MERROW

WANTED = 30.0
"""Updates a second on two processors at rest: pictures, each of a study that was judged since the last."""

__all__ = ["page"]


@pytest.mark.benchmark
def test_updates_in_a_window() -> None:
    with virtual_screen(), desk_of(MERROW) as (desk, items):
        root, board = open_board(desk, items, LIGHT)
        shown = Window(root, board, Path(MERROW))
        shown.wait(lambda: desk.settled, 60)
        seen: list[Shown] = []
        taken: list[float] = []
        draw = board.refresh

        def counted() -> None:
            start = time.thread_time()
            draw()
            taken.append(time.thread_time() - start)
            if not seen or seen[-1] is not desk.shown:
                seen.append(desk.shown)

        board.refresh = counted  # type: ignore[method-assign]
        index = [h.name for h in desk.handles].index("upper pin")
        x, y = shown.spot(desk.seen(desk.handles[index]))
        shown.hand("mousemove", x, y, "mousedown", 1)
        shown.wait(lambda: desk.grip is not None)
        rates = [paced(lambda: _dragged(shown, seen, x, y)) for _ in range(3)]
        shown.hand("mouseup", 1)
        shown.settle()
        root.destroy()
    told = ", ".join(f"{as_it_was:.1f} ({at_rest:.1f})" for as_it_was, at_rest in rates)
    print(f"\nwindow: {told} updates/s (at rest); a picture takes {1e3 * min(taken):.1f} ms of the processor at best")
    assert max(at_rest for _, at_rest in rates) >= WANTED


def paced(measure: Callable[[], float]) -> tuple[float, float]:
    """A rate as it was, and as it would be on the machine at rest."""
    before = median(work() for _ in range(60))
    rate = measure()
    return rate, rate * (before + median(work() for _ in range(60))) / 2 / WORK


def _dragged(shown: Window, seen: list[Shown], x: int, y: int) -> float:
    """Updates a second while the mouse goes 250 places, 80 a second."""
    way: list[Any] = []
    for k in range(250):
        way += ["mousemove", x + round(9 * math.sin(k / 12)), y + round(6 * math.sin(k / 9)), "sleep", "0.012"]
    mouse = subprocess.Popen(["xdotool", *map(str, way)])
    first, start = len(seen), time.monotonic()

    def look() -> None:
        shown.root.quit() if mouse.poll() is not None else shown.root.after(20, look)

    look()
    shown.root.mainloop()
    return (len(seen) - first) / (time.monotonic() - start)


@pytest.mark.benchmark
def test_updates_in_a_browser(page: Page) -> None:
    x, y, _ = spot(page, "upper pin")
    sizes: list[float] = []

    def dragged() -> float:
        page.browser.execute_script(DRAG, x, y)
        page.wait(lambda: page.browser.execute_script("return window.done"), 60)
        rate, size = page.browser.execute_script("return [window.rate, window.size]")
        sizes.append(size)
        return float(rate)

    rates = [paced(dragged) for _ in range(2)]
    told = ", ".join(f"{as_it_was:.1f} ({at_rest:.1f})" for as_it_was, at_rest in rates)
    print(f"\nbrowser: {told} pictures/s (at rest) of {max(sizes) / 1000:.0f} kB")
    assert max(at_rest for _, at_rest in rates) >= WANTED


DRAG = """
const [x, y] = arguments;
const send = (name, dx, dy, buttons) => board.send_message(
  name, {x: x + dx, y: y + dy, button: 0, step: 0, buttons: buttons, modifiers: [], guiEvent: {}});
let pictures = 0, bytes = 0, k = 0;
const take = board.ws.onmessage;
board.ws.onmessage = (event) => {
  if (event.data instanceof ArrayBuffer) { pictures++; bytes += event.data.byteLength; }
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
