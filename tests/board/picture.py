"""The picture of the board in the manual: `python -m tests.board.picture` writes docs/pictures/board.png anew."""

from __future__ import annotations

from typing import Any

import numpy as np
from PIL import Image

from linkage.drafting.desk import Desk
from linkage.drawing.axes import new_figure
from linkage.drawing.board.board import Bay, Board
from linkage.drawing.board.opening import desk_of
from linkage.drawing.palette import LIGHT, Theme
from tests.studies import MERROW, ROOT


def drawn(desk: Desk, bay: Bay, size: tuple[int, int] = (1280, 800), theme: Theme = LIGHT) -> Any:
    """The board as it stands, an array of pixels."""
    figure = new_figure(*size, theme=theme)
    canvas: Any = figure.canvas
    canvas.blit = lambda: None
    board = Board(figure, desk, bay, theme)
    board.refresh()
    return np.asarray(canvas.buffer_rgba())


def main() -> None:
    """The upper pin of the demo in hand, 9 mm from its place, the gear part-way up."""
    with desk_of(MERROW) as (desk, bay):
        desk.scrub(0.62)
        desk.grab([h.name for h in desk.handles].index("upper pin"))
        desk.pull(desk.seen(desk.handle) + 8 - 4j, 0.0)
        while desk.looking:
            desk.tick(0.0)
        Image.fromarray(drawn(desk, bay)).convert("RGB").save(ROOT / "docs" / "pictures" / "board.png", optimize=True)


if __name__ == "__main__":
    main()
