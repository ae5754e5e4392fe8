"""Lines of text that change with every picture: put together from kept pictures of words and digits and copied to the
canvas, because matplotlib sets a text glyph by glyph each time, which costs more than all the rest of the board."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from numpy.typing import NDArray

from linkage.drawing.axes import TEXT_SIZE
from linkage.drawing.letters import ROOM, Pieces, channels, pieces
from linkage.drawing.palette import Theme
from linkage.drawing.text import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.transforms import Transform

Bytes = NDArray[np.uint8]
Words = NDArray[np.uint32]
"""Pixels (rows, columns), the highest row first: red, green, blue and cover, a byte each in this order."""

BOLD = 0.72
"""Mean width of a bold letter, of its size."""

GAP = 6
"""Pixels kept free between two columns."""

MORE = "\u2026"
"""At the end of a text that was cut."""

PAD = 2
"""Pixels of paper around a text that lies on a drawing."""

SEE_THROUGH = 224
"""How much that paper covers, of 255."""


@cache
def _pieces(size_px: float, bold: bool) -> Pieces:
    return Pieces(72.0, size_px, bold)


@lru_cache(4096)
def length(text: str, size_px: float, bold: bool) -> int:
    """Pixels from one end of a text to the other."""
    return _pieces(size_px, bold).width(text)


@lru_cache(4096)
def cover(text: str, size_px: float, bold: bool) -> Bytes:
    """How a text covers the paper, 0 to 255, (rows, columns), the highest row first, `PAD` pixels on every side."""
    edge = ROOM - PAD
    return _pieces(size_px, bold).line(text)[edge:-edge, edge:-edge]


def mixed(covered: Bytes, ink: str, paper: str) -> Words:
    """Ink on paper where it covers it."""
    return _shades(ink, paper)[covered]


@lru_cache(256)
def _shades(ink: str, paper: str) -> Words:
    """From paper to ink in 256 steps, (256,)."""
    a, b = (np.array([*channels(c), 255], dtype=np.int32) for c in (ink, paper))
    steps = b + (a - b) * np.arange(256)[:, None] // 255
    return np.ascontiguousarray(steps, dtype=np.uint8).view(np.uint32)[:, 0]


def _word(colour: str) -> Any:
    return _shades(colour, colour)[0]


def _channels(pixels: Words) -> Bytes:
    """The same pixels byte by byte, (rows, columns, 4)."""
    return pixels.view(np.uint8).reshape(*pixels.shape, 4)


def _copy(renderer: Any, pixels: Words, left: int, low: int) -> None:
    """Lay pixels on the canvas through which nothing shines, ``left`` and ``low`` from its lower left corner. What
    would lie beyond its edges is left out."""
    canvas = np.asarray(renderer.buffer_rgba()).view(np.uint32)[..., 0]
    _lay(canvas, pixels, len(canvas) - low - len(pixels), left)


def _lay(ground: Words, pixels: Words, top: int, left: int) -> None:
    """Pixels in place of those of the ground, cut off at its edges."""
    pixels = pixels[max(-top, 0) :, max(-left, 0) :]
    under = ground[max(top, 0) :, max(left, 0) :][: pixels.shape[0], : pixels.shape[1]]
    under[:] = pixels[: under.shape[0], : under.shape[1]]


class Letters(Artist):
    """One line of text at a place of some axes or of the window. ``side``: which end of the text lies there (left
    or right); ``room``: inches beyond which it is cut, 0 for none; ``on_drawing``: lines of a drawing shine a little
    through the paper under it."""

    def __init__(
        self,
        place: tuple[float, float],
        transform: Transform,
        theme: Theme,
        *,
        side: str = "left",
        size: float = TEXT_SIZE,
        bold: bool = False,
        on_drawing: bool = False,
        room: float = 0.0,
    ) -> None:
        super().__init__()
        self.place, self.side, self.size, self.bold, self.on_drawing = place, side, size, bold, on_drawing
        self.room = room
        self.text, self.colour, self.paper = "", theme.ink, theme.paper
        self._made: tuple[Any, ...] = ()
        self._pixels: Any = None
        self.set_transform(transform)

    def set(self, text: str, colour: str = "", place: tuple[float, float] | None = None, side: str = "") -> None:  # type: ignore[override]
        """What stands there; what is left out stays."""
        self.text, self.colour = text, colour or self.colour
        self.place, self.side = place or self.place, side or self.side

    def draw(self, renderer: Any) -> None:
        if not self.text or not self.get_visible():
            return
        pixels = self._set(renderer.dpi)
        x, y = self.get_transform().transform(self.place)
        height, width = pixels.shape
        left, low = round(x - width if self.side == "right" else x), round(y - height / 2)
        if self.on_drawing:
            renderer.draw_image(renderer.new_gc(), left, low, _channels(pixels)[::-1])
        else:
            _copy(renderer, pixels, left, low)

    def _set(self, dpi: float) -> Words:
        """The text, kept until it changes."""
        key = (self.text, self.colour, dpi)
        if key != self._made:
            size = self.size * dpi / 72.0
            text = cut(self.text, size, self.bold, int(self.room * dpi)) if self.room else self.text
            covered = cover(text, size, self.bold)
            self._made, self._pixels = key, mixed(covered, self.colour, self.paper)
            if self.on_drawing:
                _channels(self._pixels)[..., 3] = np.maximum(covered, SEE_THROUGH)
        pixels: Words = self._pixels
        return pixels


class Note(Artist):
    """Some lines of text in a frame, in the upper left corner of some axes; nothing where there is no text."""

    LETTERS, LINES = 70, 8
    """Letters in a line and lines, at most."""

    MARGIN = 8
    """Pixels from the axes to the frame."""

    def __init__(self, ax: Axes, theme: Theme, colour: str, frame: str) -> None:
        super().__init__()
        self.ax, self.colour, self.frame, self.paper = ax, colour, frame, theme.paper
        self.text = ""

    def draw(self, renderer: Any) -> None:
        if not self.text or not self.get_visible():
            return
        size, box = TEXT_SIZE * renderer.dpi / 72.0, self.ax.bbox
        letters = min(self.LETTERS, int((box.width - 2 * (self.MARGIN + GAP)) / (BOLD * size)))
        told = wrapped(self.text, letters, self.LINES).splitlines()
        lines = [_inked(line, size, True, self.colour, self.paper) for line in told]
        rows, columns = sum(len(line) for line in lines), max(line.shape[1] for line in lines)
        block = np.full((rows + 2 * GAP, columns + 2 * GAP), _word(self.frame))
        block[1:-1, 1:-1] = _word(self.paper)
        top = GAP
        for line in lines:
            block[top : top + len(line), GAP : GAP + line.shape[1]] = line
            top += len(line)
        _copy(renderer, block, round(box.x0) + self.MARGIN, round(box.y1) - self.MARGIN - len(block))


@lru_cache(4096)
def _inked(text: str, size_px: float, bold: bool, ink: str, paper: str) -> Words:
    """Kept, because most of what a list says comes with every picture."""
    return mixed(cover(text, size_px, bold), ink, paper)


class Sheet(Artist):
    """Lines of text from the top of some axes down, one picture for all of them: only a line that has changed is set
    anew. ``columns``: fraction of the width and which end of the text lies there."""

    def __init__(self, ax: Axes, theme: Theme, rows: int, columns: tuple[tuple[float, str], ...]) -> None:
        super().__init__()
        self.ax, self.theme, self.rows, self.columns = ax, theme, rows, columns
        self.lines: list[Line] = [Line() for _ in range(rows)]
        self.head = ""
        self._pixels: Any = None
        self._set: list[Any] = []

    def draw(self, renderer: Any) -> None:
        box = self.ax.bbox
        width, height = int(box.width), int(box.height)
        if self._pixels is None or self._pixels.shape != (height, width):
            self._pixels = np.full((height, width), _word(self.theme.paper))
            self._set = [None] * (self.rows + 1)
        for i, line in enumerate([Line((self.head,), self.theme.ink), *self.lines]):
            if self._set[i] != line:
                self._set[i] = line
                self._write(i, line, renderer.dpi)
        _copy(renderer, self._pixels, round(box.x0), round(box.y0))

    def _write(self, i: int, line: Line, dpi: float) -> None:
        height, width = self._pixels.shape
        top, low = (round(height * k / (self.rows + 1)) for k in (i, i + 1))
        strip = self._pixels[top:low]
        strip[:] = _word(self.theme.paper)
        if line.bar is not None:
            self._bar(strip, *line.bar)
        size, bold = TEXT_SIZE * dpi / 72.0, i == 0
        end = width - 1
        for text, (x, side) in reversed(list(zip(line.texts, self.columns, strict=False))):
            place = round(x * (width - 1))
            shown = text if side == "right" else cut(text, size, bold, end - place)
            start = place if side == "left" else place - length(text, size, bold)
            inked = _inked(shown, size, bold, line.colour or self.theme.ink, self.theme.paper)
            _lay(strip, inked, (len(strip) - len(inked)) // 2, start - PAD)
            end = start - GAP
            if line.bar is not None:
                end = min(end, round(width * min(line.bar[:2])) - GAP)

    def _bar(self, strip: Words, start: float, end: float, colour: str) -> None:
        height, width = strip.shape
        a, b = (round(width * v) for v in (start, end))
        strip[round(0.28 * height) : round(0.72 * height) + 1, min(a, b) : max(a, b) + 1] = _word(colour)
        strip[:, a] = _word(self.theme.muted)


@lru_cache(1024)
def cut(text: str, size_px: float, bold: bool, room: int) -> str:
    """As much of a text as there is room for, pixels."""
    if length(text, size_px, bold) <= room:
        return text
    ahead = _pieces(size_px, bold).ahead
    kept, left = 0, room - ahead(MORE)
    for piece in pieces(text):
        left -= ahead(piece)
        kept += len(piece)
        if left < 0:  # of this one some letters may have room yet
            break
    while kept and length(text[:kept].rstrip() + MORE, size_px, bold) > room:
        kept -= 1
    return text[:kept].rstrip() + MORE


@lru_cache(64)
def folded(text: str, size_px: float, bold: bool, room: int) -> tuple[str, str]:
    """A text in two lines, broken between words where it must be and cut where even these are too short, pixels."""
    words = text.split(" ")
    count = bisect_right(range(1, len(words) + 1), room, key=lambda n: length(" ".join(words[:n]), size_px, bold))
    return " ".join(words[:count]), cut(" ".join(words[count:]), size_px, bold, room)


@dataclass(frozen=True)
class Line:
    """A line of a sheet; ``bar``: from, to (fractions of the width) and colour."""

    texts: tuple[str, ...] = ()
    colour: str = ""
    bar: tuple[float, float, str] | None = None
