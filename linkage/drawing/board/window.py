"""The board in a window of the desktop (Tk)."""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.drafting.desk import Desk
from linkage.drawing.board.board import LEAST, Bay, Board
from linkage.drawing.board.parts import Box, Parts
from linkage.drawing.palette import Theme
from linkage.errors import LinkageError

DPI = 100.0

REPLACE = 1
"""Tk's TK_PHOTO_COMPOSITE_SET: pixels take the place of those before."""

COVERS = (0, 1, 2, 4)
"""Where red, green, blue and cover stand in the bytes of a pixel. There is no fourth: Tk then takes it for full cover,
and does not look through the whole photo for pixels without."""


class NoWindowError(LinkageError):
    """There is no window system, or Python was built without Tk."""


def open_board(desk: Desk, bay: Bay, theme: Theme, size: tuple[int, int] = (1280, 800)) -> tuple[Any, Board]:
    """A window with the board on it; its ``mainloop()`` runs until the user ends, and lets Ctrl-C through. Raises
    ``NoWindowError``."""
    try:
        import tkinter

        root = tkinter.Tk()
    except ImportError as err:
        raise NoWindowError(f"no window: this Python has no Tk ({err}); `--web` shows the board in a browser") from err
    except tkinter.TclError as err:
        raise NoWindowError(f"no window system here ({err}); `--web` shows the board in a browser") from err
    from matplotlib.backends.backend_tkagg import FigureCanvasTkAgg
    from matplotlib.figure import Figure

    root.title(f"noseleg board: {desk.draft.path.name}")
    figure = Figure(figsize=(size[0] / DPI, size[1] / DPI), dpi=DPI)
    make: Any = FigureCanvasTkAgg
    canvas = make(figure, master=root)
    root.minsize(*LEAST)
    widget = canvas.get_tk_widget()
    widget.configure(background=theme.paper, highlightthickness=0)
    widget.pack(side="top", fill="both", expand=True)
    root.update()  # the screen has its own pixels for an inch: laid out before that is known, all would be so twice
    board = Board(figure, desk, bay, theme)
    board.put = Parts(canvas, lambda boxes: _shown(canvas, boxes)).put
    widget.bind("<Motion>", lambda event: board.pointed(event.x, figure.bbox.height - event.y))
    for way in ("<Tab>", "<<NextWindow>>", "<<PrevWindow>>"):
        root.unbind_all(way)  # Tab chooses the next pin; there is nothing else to go to
    widget.focus_set()
    board.named = lambda name: root.title(f"noseleg board: {name}")
    board.closing = root.destroy
    root.protocol("WM_DELETE_WINDOW", lambda: _asked_to_close(board))
    root.report_callback_exception = lambda kind, fault, trace: _told(board, fault)
    board.start()
    return root, board


def _shown(canvas: Any, boxes: list[Box]) -> None:
    """Bring parts of the picture on the screen at once. As `matplotlib.backends._backend_tk.blit` does, but as they
    are: that lays a part over the last picture pixel by pixel, and looks through all of that for what shines through.
    """
    from matplotlib.backends import _tkagg

    photo, pixels = canvas._tkphoto, np.asarray(canvas.buffer_rgba())
    into, name, height = photo.tk.interpaddr(), str(photo), len(pixels)
    for left, right, top, low in boxes:
        _tkagg.blit(into, name, pixels, REPLACE, COVERS, (left, right, height - low, height - top))
    canvas.get_tk_widget().update_idletasks()


def _told(board: Board, fault: BaseException) -> None:
    """A fault within an event. Ctrl-C in the terminal is none: it goes on to whoever runs the window."""
    if isinstance(fault, KeyboardInterrupt):
        raise fault
    board.fault(fault)


def _asked_to_close(board: Board) -> None:
    board.desk.quit()
    board.touch()
