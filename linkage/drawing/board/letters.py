"""Lines of text that change with every picture: set by Pillow and laid on the canvas as images, because matplotlib sets
a text glyph by glyph each time, which costs more than all the rest of the board together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.colors import to_rgb
from PIL import Image, ImageDraw, ImageFont

from linkage.drawing.axes import TEXT_SIZE
from linkage.drawing.fonts import folder
from linkage.drawing.palette import Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.transforms import Transform

LETTER = 0.62
"""Mean width of a letter, of its size."""

GAP = 6.0
"""Pixels kept free between two columns."""

PAD = 2
"""Pixels of paper around a text that lies on a drawing."""


@cache
def _font(size_px: float, bold: bool) -> Any:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(folder() / name), size_px, layout_engine=ImageFont.Layout.BASIC)


class Letters(Artist):
    """One line of text at a place of some axes or of the window. ``side``: which end of the text lies there (left,
    center, right); ``paper``: colour of the ground under it, "" for none."""

    def __init__(
        self,
        place: tuple[float, float],
        transform: Transform,
        theme: Theme,
        *,
        side: str = "left",
        size: float = TEXT_SIZE,
        bold: bool = False,
        paper: str = "",
        order: float = 9.0,
    ) -> None:
        super().__init__()
        self.place, self.side, self.size, self.bold, self.paper = place, side, size, bold, paper
        self.text, self.colour = "", theme.ink
        self._made: tuple[Any, ...] = ()
        self._image: Any = None
        self.set_transform(transform)
        self.set_zorder(order)

    def set(self, text: str, colour: str = "", place: tuple[float, float] | None = None, side: str = "") -> None:  # type: ignore[override]
        """What stands there; what is left out stays."""
        self.text, self.colour = text, colour or self.colour
        self.place, self.side = place or self.place, side or self.side

    def draw(self, renderer: Any) -> None:
        if not self.text or not self.get_visible():
            return
        image = self._set(renderer.dpi)
        x, y = self.get_transform().transform(self.place)
        height, width = image.shape[:2]
        x -= {"left": 0.0, "center": width / 2, "right": width}[self.side]
        gc = renderer.new_gc()
        renderer.draw_image(gc, round(x), round(y - height / 2), image)
        gc.restore()

    def _set(self, dpi: float) -> Any:
        """The text as an image, the lowest row first; kept until it changes."""
        key = (self.text, self.colour, dpi)
        if key != self._made:
            self._made, self._image = key, _image(self.text, self.colour, self.size * dpi / 72.0, self.bold, self.paper)
        return self._image


def _image(text: str, colour: str, size_px: float, bold: bool, paper: str) -> Any:
    font = _font(size_px, bold)
    rise, fall = font.getmetrics()
    width = int(np.ceil(font.getlength(text)))
    mask = Image.new("L", (width + 2 * PAD, rise + fall), 0)
    ImageDraw.Draw(mask).text((PAD, 0), text, fill=255, font=font)
    cover = np.asarray(mask, dtype=np.float32)[:, :, None] / 255.0
    ink = np.array(to_rgb(colour), dtype=np.float32) * 255.0
    if not paper:
        flat = np.broadcast_to(ink, (*cover.shape[:2], 3))
        return np.ascontiguousarray(np.dstack([flat, cover * 255.0]).astype(np.uint8)[::-1])
    ground = np.array(to_rgb(paper), dtype=np.float32) * 255.0
    mixed = ground + (ink - ground) * cover
    opaque = np.maximum(cover, 0.88) * 255.0
    return np.ascontiguousarray(np.dstack([mixed, opaque]).astype(np.uint8)[::-1])


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
        self.set_zorder(9.0)

    def draw(self, renderer: Any) -> None:
        box = self.ax.bbox
        width, height = int(box.width), int(box.height)
        if self._pixels is None or self._pixels.shape[:2] != (height, width):
            ground = [round(255 * c) for c in to_rgb(self.theme.paper)]
            self._pixels = np.full((height, width, 4), [*ground, 255], dtype=np.uint8)
            self._set = [None] * (self.rows + 1)
        for i, line in enumerate([Line((self.head,), self.theme.ink), *self.lines]):
            if self._set[i] != line:
                self._set[i] = line
                self._write(i, line, renderer.dpi)
        gc = renderer.new_gc()
        renderer.draw_image(gc, round(box.x0), round(box.y0), self._pixels[::-1])
        gc.restore()

    def _write(self, i: int, line: Line, dpi: float) -> None:
        height, width = self._pixels.shape[:2]
        top, low = (round(height * k / (self.rows + 1)) for k in (i, i + 1))
        strip = Image.new("RGB", (width, low - top), self.theme.paper)
        pen = ImageDraw.Draw(strip)
        if line.bar is not None:
            a, b = (width * v for v in line.bar[:2])
            pen.rectangle((min(a, b), 0.28 * (low - top), max(a, b), 0.72 * (low - top)), fill=line.bar[2])
            pen.line((a, 0, a, low - top), fill=self.theme.muted)
        font = _font(TEXT_SIZE * dpi / 72.0, i == 0)
        end = width - 1.0
        for text, (x, side) in reversed(list(zip(line.texts, self.columns, strict=False))):
            place, anchor = x * (width - 1), {"left": "lm", "right": "rm"}[side]
            shown = text if side == "right" else _cut(text, font, end - place)
            pen.text((place, (low - top) / 2), shown, fill=line.colour or self.theme.ink, font=font, anchor=anchor)
            end = place - GAP if side == "left" else place - font.getlength(text) - GAP
            if line.bar is not None:
                end = min(end, width * min(line.bar[:2]) - GAP)
        self._pixels[top:low, :, :3] = np.asarray(strip)


def _cut(text: str, font: Any, room: float) -> str:
    """As much of a text as there is room for, pixels."""
    if font.getlength(text) <= room:
        return text
    kept = len(text)
    while kept and font.getlength(text[:kept].rstrip() + "\u2026") > room:
        kept -= 1
    return text[:kept].rstrip() + "\u2026"


@dataclass(frozen=True)
class Line:
    """A line of a sheet; ``bar``: from, to (fractions of the width) and colour."""

    texts: tuple[str, ...] = ()
    colour: str = ""
    bar: tuple[float, float, str] | None = None
