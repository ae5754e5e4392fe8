"""A board in a real window on a virtual screen, worked by real mouse and keys."""

from __future__ import annotations

import _tkinter
import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from linkage.drafting.desk import Desk
from linkage.drawing.board.board import Board


@contextmanager
def virtual_screen(size: str = "1400x900") -> Iterator[str]:
    """A free display with nothing on it."""
    if shutil.which("Xvfb") is None or shutil.which("xdotool") is None:
        pytest.skip("needs Xvfb and xdotool (on Debian: xvfb, xdotool)")
    pytest.importorskip("tkinter", reason="this Python has no Tk")
    read, write = os.pipe()
    command = ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{size}x24", "-nolisten", "tcp"]
    server = subprocess.Popen(command, pass_fds=(write,), stderr=subprocess.DEVNULL)
    os.close(write)
    before = os.environ.get("DISPLAY")
    try:
        with os.fdopen(read) as answer:
            os.environ["DISPLAY"] = f":{answer.readline().strip()}"
        yield os.environ["DISPLAY"]
    finally:
        if before is None:
            os.environ.pop("DISPLAY", None)
        else:
            os.environ["DISPLAY"] = before
        server.terminate()
        server.wait(10)


@dataclass
class Window:
    """The window, and hands."""

    root: Any
    board: Board
    path: Path

    @property
    def desk(self) -> Desk:
        return self.board.desk

    def wait(self, until: Callable[[], bool], seconds: float = 30.0) -> None:
        """Serve events until it is so and none is left; where there always is one, as when the board plays, for 2 s."""
        begin = time.monotonic()
        while True:
            none_left = self._serve(0.2) or time.monotonic() > begin + 2.0
            if until() and none_left:
                return
            late = time.monotonic() > begin + seconds
            assert not late, f"waited in vain; trouble {self.desk.trouble!r}, {self.desk.message!r}"
            time.sleep(0.002)

    def _serve(self, seconds: float) -> bool:
        """Serve events for a time at most; whether none is left. Tk's own `update` never returns while a timer is
        always due."""
        latest = time.monotonic() + seconds
        while self.root.tk.dooneevent(_tkinter.DONT_WAIT):
            if time.monotonic() > latest:
                return False
        return True

    def settle(self, seconds: float = 0.15) -> None:
        """Let events arrive and pictures be drawn."""
        end = time.monotonic() + seconds
        self.wait(lambda: time.monotonic() > end and self.board._wish is None and not self.desk.looking)

    def hand(self, *words: Any) -> None:
        subprocess.run(["xdotool", *map(str, words)], check=True, timeout=20)

    def keys(self, *names: str) -> None:
        self.hand("key", *names)
        self.settle(0.1)

    def spot(self, point: complex) -> tuple[int, int]:
        """Where a point of the side view is on the screen."""
        x, y = self.board.side.ax.transData.transform((point.real, point.imag))
        widget = self.board.canvas.get_tk_widget()
        return round(widget.winfo_rootx() + x), round(widget.winfo_rooty() + self.board.figure.bbox.height - y)

    def drag(self, name: str, by: complex) -> None:
        """Take a pin, move it, let it go."""
        index = [h.name for h in self.desk.handles].index(name)
        start = self.desk.seen(self.desk.handles[index])
        self.hand("mousemove", *self.spot(start), "mousedown", 1)
        self.wait(lambda: self.desk.grip is not None)
        for k in range(1, 6):
            self.hand("mousemove", *self.spot(start + by * k / 5))
            self.settle(0.05)
        self.hand("mouseup", 1)
        self.wait(lambda: self.desk.grip is None)
