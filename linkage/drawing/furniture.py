"""What stands on a sheet around the drawing: border, title block, scale bar, frame axes, key. All in mm of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from shapely.geometry import box

from linkage.drawing import marks
from linkage.drawing.axes import MM, lettering, measure
from linkage.drawing.paint import draw, draw_marks
from linkage.drawing.palette import THICK, THIN, Theme
from linkage.drawing.paper import Paper
from linkage.drawing.scene import Bar, Item, Path, Region, Role
from linkage.drawing.text import plain, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Text

SMALL, BODY, STRONG, LEAST = 5.2, 8.0, 10.0, 5.0
"""Text sizes, points; nothing is shrunk below the least."""

KEY_LEFT, KEY_ROW, KEY_COLUMN = 27.5, 4.9, 29.0
"""Two columns of seven hold every role, also on A4."""


@dataclass(frozen=True)
class Cell:
    """One field of the title block: place and size in the block, caption, and what it says."""

    x: float
    y: float
    width: float
    height: float
    caption: str
    value: str
    strong: bool = False


def as_paper(ax: Axes, width: float, height: float) -> Axes:
    """Let axes cover a whole sheet, counted in mm, with nothing of their own to see."""
    ax.set(xlim=(0, width), ylim=(0, height))
    ax.axis("off")
    return ax


def border(ax: Axes, width: float, height: float, theme: Theme, left: float = 20.0, margin: float = 10.0) -> None:
    """Frame and centring marks as in ISO 5457; sheets above A4 also get reference fields of 50 mm."""
    far, top = width - margin, height - margin
    lines(ax, [[(left, margin), (far, margin), (far, top), (left, top), (left, margin)]], theme.ink, 0.7)
    x, y = (left + far) / 2, height / 2
    centring = [
        [(x, 5), (x, margin)],
        [(x, height - 5), (x, top)],
        [(left - 5, y), (left, y)],
        [(width - 5, y), (far, y)],
    ]
    lines(ax, centring, theme.ink, 0.7)
    if width > 300:
        _reference_fields(ax, (left, margin, far, top), theme)


def _reference_fields(ax: Axes, frame: tuple[float, float, float, float], theme: Theme, field: float = 50.0) -> None:
    """Numbers along the long sides, letters along the short ones, counted from the upper left, in a 5 mm band."""
    left, low, far, top = frame
    lines(
        ax,
        [[(left - 5, low - 5), (far + 5, low - 5), (far + 5, top + 5), (left - 5, top + 5), (left - 5, low - 5)]],
        theme.ink,
        THIN,
    )
    for start, end, across in ((left, far, True), (low, top, False)):
        middle, half = (start + end) / 2, max(round((end - start) / 2 / field), 1)
        edges = [start, *(middle + field * k for k in range(1 - half, half)), end]
        for k, (a, b) in enumerate(pairwise(edges)):
            name = str(k + 1) if across else chr(ord("A") + len(edges) - 2 - k)
            for side in (low - 2.5, top + 2.5) if across else (left - 2.5, far + 2.5):
                spot = ((a + b) / 2, side) if across else (side, (a + b) / 2)
                ax.text(*spot, name, ha="center", va="center", **lettering(theme, size=6.5))
                tick = [(b, side - 2.5), (b, side + 2.5)] if across else [(side - 2.5, b), (side + 2.5, b)]
                if k < len(edges) - 2:
                    lines(ax, [tick], theme.ink, THIN)


def title_block(ax: Axes, corner: tuple[float, float], cells: Sequence[Cell], theme: Theme) -> None:
    """Draw the cells of a title block with its lower left corner at ``corner``."""
    x0, y0 = corner
    for cell in cells:
        x, y = x0 + cell.x, y0 + cell.y
        far, top = x + cell.width, y + cell.height
        lines(ax, [[(x, y), (far, y), (far, top), (x, top), (x, y)]], theme.ink, THIN)
        ax.text(x + 1, top - 0.8, cell.caption, ha="left", va="top", **lettering(theme, size=SMALL, colour=theme.muted))
        size = STRONG if cell.strong else BODY
        room = (x + 1.2, y + 0.8, cell.width - 2.4, cell.height - 3.8)
        fitted(ax, room, cell.value, theme, size, "bold" if cell.strong else "normal")
    width, height = max(c.x + c.width for c in cells), max(c.y + c.height for c in cells)
    lines(ax, [[(x0, y0), (x0 + width, y0), (x0 + width, y0 + height), (x0, y0 + height), (x0, y0)]], theme.ink, THICK)


def fitted(
    ax: Axes, room: tuple[float, float, float, float], value: str, theme: Theme, size: float, weight: str = "normal"
) -> Text | None:
    """Write ``value`` inside ``room`` (left, bottom, width, height): smaller, in more lines, at last cut short."""
    x, y, width, height = room
    if not plain(value):
        return None
    text = ax.text(
        x, y + height / 2, "", ha="left", va="center", linespacing=1.1, **lettering(theme, size=size, weight=weight)
    )
    while True:
        text.set(text=plain(value), size=size)
        whole, high = measure(text)
        rows = max(int(height / (1.1 * high)), 1)
        # Real lines differ from the average letter, so begin a little long and come down.
        length = max(int(1.25 * width / whole * len(plain(value))), 3)
        text.set_text(wrapped(value, length, rows))
        while (wide := measure(text)[0]) > width and length > 3:
            length = max(min(length - 1, int(length * width / wide)), 3)
            text.set_text(wrapped(value, length, rows))
        complete = "…" not in text.get_text() or "…" in value
        if size <= LEAST or (complete and measure(text)[1] <= height):
            return text
        size = max(size - 0.75, LEAST)


def strip(
    ax: Axes,
    corner: tuple[float, float],
    width: float,
    scale: float,
    roles: Sequence[Role],
    theme: Theme,
    height: float = 42.0,
) -> None:
    """Draw frame axes, scale bar and key left of the title block."""
    x, y = corner
    lines(ax, [[(x, y + height), (x + width, y + height)]], theme.ink, THIN)
    frame_axes(ax, complex(x + 5, y + 17), theme)
    scale_bar(ax, complex(x + 3, y + 7), KEY_LEFT - 7.0, scale, theme)
    rows = int((height - 6) // KEY_ROW)
    for k, role in enumerate(roles):
        at = complex(x + KEY_LEFT + KEY_COLUMN * (k // rows), y + height - 5.0 - KEY_ROW * (k % rows))
        _key_entry(ax, at, role, theme)


def frame_axes(ax: Axes, at: complex, theme: Theme, length: float = 13.0) -> None:
    """Two arrows that say which way is which."""
    sign = marks.Marks(
        thin=((at, at + length), (at, at + 1j * length)),
        solid=(marks.arrow(at + length, 1 + 0j), marks.arrow(at + 1j * length, 1j)),
    )
    draw_marks(sign, ax, theme, _sheet_paper(), theme.style(Role.CENTRE))
    for spot, text, ha, va in (
        (at + 1.5 - 1.2j, "FS (aft +)", "left", "top"),
        (at + 1j * (length + 1) - 1, "WL (up +)", "left", "bottom"),
    ):
        ax.text(spot.real, spot.imag, text, ha=ha, va=va, **lettering(theme, size=7.0))


def scale_bar(ax: Axes, at: complex, room: float, scale: float, theme: Theme) -> None:
    """A bar of a round length in four alternating fields, so that a copy of any size can still be measured."""
    span = round_length(room * scale)
    step, width = span / scale / 4, 1.4
    from matplotlib.patches import Rectangle

    for k in range(4):
        face = theme.ink if k % 2 == 0 else theme.paper
        ax.add_patch(
            Rectangle((at.real + k * step, at.imag), step, width, facecolor=face, edgecolor=theme.ink, lw=THIN * MM)
        )
    for part, word, ha in ((0.0, "0", "left"), (1.0, f"{span:.6g} mm", "right")):
        ax.text(at.real + part * 4 * step, at.imag - 1.0, word, ha=ha, va="top", **lettering(theme, size=6.5))


def round_length(most: float) -> float:
    """Return the greatest length 1, 2 or 4 times a power of ten that is not above ``most``."""
    power = 10.0 ** math.floor(math.log10(most))
    return max(f * power for f in (1.0, 2.0, 4.0) if f * power <= most)


def caution(ax: Axes, corner: tuple[float, float], width: float, height: float, text: str, theme: Theme) -> None:
    """One line of caution over the whole width."""
    x, y = corner
    lines(ax, [[(x, y + height), (x + width, y + height)]], theme.ink, THIN)
    ax.text(x + 2, y + height / 2, "CAUTION", ha="left", va="center", **lettering(theme, size=7.0, weight="bold"))
    fitted(ax, (x + 18, y + 0.4, width - 20, height - 0.8), text, theme, 7.0)


def lines(ax: Axes, points: Sequence[Sequence[tuple[float, float]]], colour: str, width: float) -> None:
    """Draw lines of ``width`` mm."""
    from matplotlib.collections import LineCollection

    ax.add_collection(
        LineCollection(list(points), colors=colour, linewidths=width * MM, capstyle="projecting"), autolim=False
    )


def _key_entry(ax: Axes, at: complex, role: Role, theme: Theme) -> None:
    """A small piece of what the role looks like, and its name."""
    low, far = at - 1.4j, at + 8 + 1.4j
    sample: Item
    if role in (Role.CENTRE, Role.HIDDEN, Role.GROUND):
        sample = Path((at, at + 8), role=role)
    elif role in (Role.ACTUATOR, Role.SPRING):
        sample = Bar(at + 1.2, at + 6.8, 1.2, role)
    else:
        sample = Region(box(low.real, low.imag, far.real, far.imag), role)
    draw(sample, ax, theme, _sheet_paper())
    ax.text(at.real + 9.2, at.imag, role.value, ha="left", va="center", **lettering(theme, size=6.2))


def _sheet_paper() -> Paper:
    """The sheet itself as paper: one mm is one mm."""
    return Paper(0j, 1.0, 2000.0, 2000.0)
