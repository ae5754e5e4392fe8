"""The board in a window of the desktop (Tk)."""

from __future__ import annotations

from typing import Any

from linkage.drafting.desk import Desk
from linkage.drawing.board.board import Bay, Board
from linkage.drawing.palette import Theme
from linkage.errors import LinkageError

DPI = 100.0


class NoWindowError(LinkageError):
    """There is no window system, or Python was built without Tk."""


def open_board(desk: Desk, bay: Bay, theme: Theme, size: tuple[int, int] = (1280, 800)) -> tuple[Any, Board]:
    """A window with the board on it; its ``mainloop()`` runs until the user ends. Raises ``NoWindowError``."""
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
    root.minsize(800, 500)
    board = Board(figure, desk, bay, theme)
    widget = canvas.get_tk_widget()
    widget.configure(background=theme.paper, highlightthickness=0)
    widget.pack(side="top", fill="both", expand=True)
    for way in ("<Tab>", "<<NextWindow>>", "<<PrevWindow>>"):
        root.unbind_all(way)  # Tab chooses the next pin; there is nothing else to go to
    widget.focus_set()
    board.closing = root.destroy
    root.protocol("WM_DELETE_WINDOW", lambda: _asked_to_close(board))
    root.report_callback_exception = lambda kind, fault, trace: board.fault(fault)
    board.start()
    return root, board


def _asked_to_close(board: Board) -> None:
    board.desk.quit()
    board.touch()
