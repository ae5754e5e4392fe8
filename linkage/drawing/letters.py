"""Lettering that changes from picture to picture: put together from pictures of its words and digits, each drawn once.

Drawing a letter takes matplotlib about a hundred times as long as copying it, and a readout is a hundred letters.
Letters stand on whole pixels, so that a piece looks the same wherever it stands. Loads matplotlib: import it late.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backends import backend_agg
from matplotlib.colors import to_rgb
from matplotlib.font_manager import FontProperties
from numpy.typing import NDArray

from linkage.drawing.axes import FONTS, TEXT_SIZE
from linkage.drawing.palette import Theme
from linkage.drawing.text import plain

if TYPE_CHECKING:
    from matplotlib.backend_bases import RendererBase

Coverage = NDArray[np.uint8]
"""How much of each pixel a letter covers, 0 to 255, upper row first."""

ROOM = 4
"""Pixels around a piece: letters reach over their own width and height."""

PAD = 2
"""Pixels of ground around letters that have one."""

GROUND_ALPHA = 217
"""Of 255: what lies under the ground is still seen a little."""


def _pen(width: int, height: int, dpi: float) -> Any:
    """What draws on an empty picture of that many pixels."""
    renderer: Any = backend_agg.RendererAgg
    return renderer(width, height, dpi)


class Pieces:
    """Pictures of words and digits in one font and size (points), made when first wanted."""

    def __init__(self, dpi: float, size: float, bold: bool = False) -> None:
        self.font = FontProperties(family=list(FONTS), size=size, weight="bold" if bold else "normal")
        self.dpi = dpi
        self.pen = _pen(8, 8, dpi)
        _, height, self.below = (round(v) for v in self._extent("lp"))
        self.above = height - self.below
        self._ahead: dict[str, int] = {}
        self._drawn: dict[str, Coverage] = {}

    @property
    def height(self) -> int:
        """Of one line, pixels."""
        return self.above + self.below

    def width(self, line: str) -> int:
        """Pixels from one end of a line to the other."""
        return sum(self.ahead(piece) for piece in pieces(line))

    def line(self, text: str) -> Coverage:
        """A line with `ROOM` on every side."""
        row = [(self.ahead(piece), self.picture(piece)) for piece in pieces(text)]
        sheet, x = np.zeros((self.height + 2 * ROOM, sum(a for a, _ in row) + 2 * ROOM), dtype=np.uint8), 0
        for ahead, picture in row:
            place = sheet[:, x : x + picture.shape[1]]
            np.maximum(place, picture[:, : place.shape[1]], out=place)
            x += ahead
        return sheet

    def ahead(self, piece: str) -> int:
        """How far the next piece stands from it, pixels."""
        if piece not in self._ahead:
            self._ahead[piece] = round(self._extent(f"|{piece}|")[0] - self._extent("||")[0])
        return self._ahead[piece]

    def picture(self, piece: str) -> Coverage:
        """Its picture with `ROOM` on every side of its line."""
        if piece not in self._drawn:
            pen = _pen(max(self.ahead(piece), 0) + 2 * ROOM, self.height + 2 * ROOM, self.dpi)
            ink = pen.new_gc()
            ink.set_foreground((0.0, 0.0, 0.0))
            pen.draw_text(ink, ROOM, self.height + ROOM - self.below, piece, self.font, 0.0)
            self._drawn[piece] = np.array(pen.buffer_rgba())[..., 3]
        return self._drawn[piece]

    def _extent(self, text: str) -> tuple[float, float, float]:
        extent: tuple[float, float, float] = self.pen.get_text_width_height_descent(text, self.font, False)
        return extent


@lru_cache(4096)
def pieces(line: str) -> tuple[str, ...]:
    """Words, digits and gaps of a line, in order; a line that is read from the right stays whole."""
    if not line.isascii() and any(unicodedata.bidirectional(c) in ("R", "AL", "AN") for c in line):
        return (line,)
    return tuple(re.findall(r"[0-9]|\s+|[^0-9\s]+", line))


class Letters(Artist):
    """Lines of text with the upper left corner (``right``: the upper right one) at a place in pixels from the figure's
    lower left corner. ``spacing``: distance of lines in heights of a line; ``ground``: paper is laid under them."""

    def __init__(self, theme: Theme, dpi: float, *, colour: str | None = None, spacing: float = 1.2,
                 ground: bool = False, layer: float = 20.0) -> None:  # fmt: skip
        super().__init__()
        self.set_zorder(layer)
        self.kept = Pieces(dpi, TEXT_SIZE)
        self.colour, self.paper = channels(colour or theme.ink), channels(theme.paper)
        self.pitch = round(spacing * self.kept.height)
        self.ground = ground
        self.lines: tuple[str, ...] = ()
        self.at, self.right = (0.0, 0.0), False

    def show(self, lines: Sequence[str], at: tuple[float, float], right: bool = False) -> None:
        """Text, made harmless, and its place."""
        self.lines, self.at, self.right = tuple(plain(line) for line in lines), at, right

    def draw(self, renderer: RendererBase) -> None:
        """Called by matplotlib."""
        if not self.get_visible() or not any(self.lines):
            return
        covered = self.covered()
        x = round(self.at[0]) - (covered.shape[1] - ROOM if self.right else ROOM)
        y = round(self.at[1]) + ROOM - covered.shape[0]
        gc = renderer.new_gc()
        if self.ground:
            edge = ROOM - PAD
            held = covered[edge : covered.shape[0] - edge, edge : covered.shape[1] - edge]
            under = np.full_like(held, GROUND_ALPHA)
            renderer.draw_image(gc, x + edge, y + edge, _coloured(self.paper, under))
        renderer.draw_image(gc, x, y, _coloured(self.colour, covered))
        gc.restore()
        self.stale = False

    def covered(self) -> Coverage:
        """All lines on one picture, with `ROOM` around."""
        rows = [self.kept.line(line) for line in self.lines]
        high, wide = rows[0].shape[0], max(row.shape[1] for row in rows)
        sheet = np.zeros(((len(rows) - 1) * self.pitch + high, wide), dtype=np.uint8)
        for k, row in enumerate(rows):
            place = sheet[k * self.pitch : k * self.pitch + high, : row.shape[1]]
            np.maximum(place, row, out=place)
        return sheet


def channels(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0 to 255."""
    red, green, blue = (round(255 * v) for v in to_rgb(colour))
    return red, green, blue


def _coloured(colour: tuple[int, int, int], covered: Coverage) -> NDArray[np.uint8]:
    """One colour, as much of it as is covered; lowest row first, as matplotlib takes pictures."""
    picture = np.empty((*covered.shape, 4), dtype=np.uint8)
    picture[..., :3] = colour
    picture[..., 3] = covered[::-1]
    return picture
