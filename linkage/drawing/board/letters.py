"""Lines of text that change with every picture: set by Pillow and laid on the canvas as images, because matplotlib sets
a text glyph by glyph each time, which costs more than all the rest of the board together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
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

SEE_THROUGH = 224
"""How much that paper covers, of 255."""


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
    mask = Image.new("L", (int(np.ceil(font.getlength(text))) + 2 * PAD, rise + fall), 0)
    ImageDraw.Draw(mask).text((PAD, 0), text, fill=255, font=font)
    cover = np.asarray(mask)[::-1]
    pixels = np.empty((*cover.shape, 4), dtype=np.uint8)
    pixels[..., :3] = _bytes(colour)
    pixels[..., 3] = cover
    if paper:
        ink, ground = (np.array(_bytes(c), dtype=np.int32) for c in (colour, paper))
        pixels[..., :3] = ground + (ink - ground) * cover[..., None].astype(np.int32) // 255
        pixels[..., 3] = np.maximum(cover, SEE_THROUGH)
    return pixels


def _bytes(colour: str) -> list[int]:
    return [round(255 * c) for c in to_rgb(colour)]


@dataclass(frozen=True)
class Stamp:
    """A text as it covers the paper: ``left`` and ``top`` of its image from its place, and its length, pixels."""

    cover: Any
    left: int
    top: int
    length: float


@lru_cache(4096)
def _stamp(text: str, size_px: float, bold: bool, anchor: str) -> Stamp:
    """Kept, because most of what a list says comes with every picture."""
    font = _font(size_px, bold)
    left, top, right, low = font.getbbox(text, anchor=anchor)
    cover = Image.new("L", (max(right - left, 1), max(low - top, 1)), 0)
    ImageDraw.Draw(cover).text((-left, -top), text, fill=255, font=font, anchor=anchor)
    return Stamp(cover, left, top, font.getlength(text))


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
            self._pixels = np.full((height, width, 4), [*_bytes(self.theme.paper), 255], dtype=np.uint8)
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
        size, bold = TEXT_SIZE * dpi / 72.0, i == 0
        end = width - 1.0
        for text, (x, side) in reversed(list(zip(line.texts, self.columns, strict=False))):
            place, anchor = x * (width - 1), {"left": "lm", "right": "rm"}[side]
            stamp = _stamp(text, size, bold, anchor)
            if side == "left" and stamp.length > end - place:
                stamp = _stamp(_cut(text, _font(size, bold), end - place), size, bold, anchor)
            spot = (round(place) + stamp.left, (low - top) // 2 + stamp.top)
            strip.paste(line.colour or self.theme.ink, spot, stamp.cover)
            end = place - GAP if side == "left" else place - stamp.length - GAP
            if line.bar is not None:
                end = min(end, width * min(line.bar[:2]) - GAP)
        self._pixels[top:low, :, :3] = np.asarray(strip)


@lru_cache(1024)
def _cut(text: str, font: Any, room: float) -> str:
    """As much of a text as there is room for, pixels."""
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
