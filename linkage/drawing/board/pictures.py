"""Pictures of the board on their way to a browser: the runs of pixels that changed, as they are. The way is short, and
packing them as image files on one end and opening these on the other takes longer than all the rest."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backends.backend_webagg import FigureCanvasWebAgg
from matplotlib.backends.backend_webagg_core import FigureManagerWebAgg
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from linkage.drawing.board.board import Board

IN_FLIGHT = 3
"""Pictures on their way of which the browser has not told that they came."""

LEFT = 1
"""Of the buttons that a browser says are held."""


def runs(pixels: NDArray[np.uint32], last: NDArray[np.uint32] | None) -> bytes:
    """What changed in a picture (rows, columns) since the last one, or all of it: unsigned numbers of four bytes, the
    lowest first: width, height, number of runs; first pixel and length of each run, counted along the rows; then the
    pixels of all runs, each red, green, blue and cover, a byte each."""
    words = pixels.reshape(-1)
    if last is None:
        edges = np.array([0, len(words)])
        changed = words
    else:
        differs = np.zeros(len(words) + 2, dtype=bool)
        np.not_equal(words, last.reshape(-1), out=differs[1:-1])
        edges = np.flatnonzero(differs[1:] != differs[:-1])
        changed = words[differs[1:-1]]
    table = np.column_stack([edges[::2], edges[1::2] - edges[::2]])
    head = [pixels.shape[1], pixels.shape[0], len(table)]
    return np.concatenate([np.array(head), table.reshape(-1)]).astype("<u4").tobytes() + changed.tobytes()


class BoardCanvas(FigureCanvasWebAgg):
    """A canvas that draws nothing again for a browser that only wants what is there."""

    board: Board
    in_flight = 0

    @property
    def free(self) -> bool:
        """Another picture would soon be seen."""
        return self.in_flight < IN_FLIGHT

    def handle_ack(self, event: Any) -> None:
        self.in_flight = max(self.in_flight - 1, 0)

    def handle_resize(self, event: Any) -> None:
        """A browser has emptied its canvas before it says so."""
        base: Any = super()
        self._force_full = True
        base.handle_resize(event)

    def handle_motion_notify(self, event: Any) -> None:
        if not event.get("buttons", LEFT) & LEFT:  # it was let go where the page could not see it
            self.board.let_go()
        self.board.pointed(float(event["x"]), float(self.board.figure.bbox.height - event["y"]))

    def handle_draw(self, event: Any) -> None:
        self.board.show_again()

    def changed(self) -> bytes | None:
        """What changed since the last picture, None if nothing was drawn."""
        canvas: Any = self
        if not canvas._png_is_old:
            return None
        words = np.asarray(canvas.get_renderer().buffer_rgba()).view(np.uint32).squeeze(2)
        whole = canvas._force_full or words.shape != canvas._last_buff.shape
        found = runs(words, None if whole else canvas._last_buff)
        canvas._last_buff, canvas._force_full, canvas._png_is_old = words.copy(), False, False
        return found


class BoardManager(FigureManagerWebAgg):
    """Sends pictures as `runs`."""

    def refresh_all(self) -> None:
        canvas: Any = self.canvas
        found = canvas.changed() if self.web_sockets else None
        if found is None:
            return
        canvas.in_flight += 1
        for socket in tuple(self.web_sockets):
            socket.send_binary(found)


def canvas_on(figure: Figure) -> tuple[BoardCanvas, BoardManager]:
    """A canvas on a figure and what sends its pictures; within a running loop."""
    make: Any = BoardCanvas
    manage: Any = BoardManager
    canvas: Any = make(figure)
    canvas.manager = manage(canvas, 1)
    return canvas, canvas.manager
