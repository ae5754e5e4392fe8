"""From a study file to a board at work, and its end."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from linkage.drafting.desk import Desk
from linkage.drafting.draft import begin
from linkage.drafting.exact import Exactly
from linkage.drafting.glances import Glances
from linkage.drafting.shown import Judge
from linkage.drawing.board.board import Bay
from linkage.drawing.palette import DARK, LIGHT, Theme
from linkage.obstacles import obstacles


@contextmanager
def desk_of(path: Path, changes: Mapping[str, Any] | None = None) -> Iterator[tuple[Desk, Bay]]:
    """A desk on a study and what reads its bay, all that the desk asks elsewhere running beside it until the block
    ends. Raises ``DocumentError``, ``MechanismError``."""
    draft = begin(path, changes)
    solver, glancer = Exactly(), Glances(path.parent, draft.origin.study)
    try:
        desk = Desk(draft, Judge(path.parent), solver, glancer)
        glancer.warm()
        yield desk, lambda study: tuple(obstacles(study, path.parent))
    finally:
        glancer.close()
        solver.close()


def run_board(
    path: Path, changes: Mapping[str, Any], web: bool, port: int, dark: bool, tell: Callable[[str], None]
) -> None:
    """Show the board until the user ends: in a window, or served to a browser on this machine. Raises ``NoWindowError``
    or ``NoServerError`` where that cannot be."""
    theme = DARK if dark else LIGHT
    with desk_of(path, changes) as (desk, bay):
        try:
            _show(desk, bay, theme, port if web else None, tell)
        except KeyboardInterrupt:
            _farewell(desk, tell)
            raise
        _farewell(desk, tell)


def _show(desk: Desk, bay: Bay, theme: Theme, port: int | None, tell: Callable[[str], None]) -> None:
    """In a browser through a port, or in a window."""
    if port is not None:
        from linkage.drawing.board.web import serve_board

        serve_board(desk, bay, theme, port, lambda address: tell(f"board: {address} (Ctrl-C ends it)"))
    else:
        from linkage.drawing.board.window import open_board

        root, _ = open_board(desk, bay, theme)
        root.mainloop()


def _farewell(desk: Desk, tell: Callable[[str], None]) -> None:
    if desk.changed:
        tell(f"not saved: the changes to {desk.draft.path.name} are gone")
