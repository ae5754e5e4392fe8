"""A drawing sheet: border, title block, scale bar, frame axes, key and cautions, and a drawing area of true scale.

Sizes and margins follow ISO 5457 (20 mm for filing on the left, 10 mm elsewhere, centring marks), the title block has
the fields of ISO 7200 in its 180 mm width, scales are those of ISO 5455 (all from memory). There is no date on it: the
study hash says which state of the design it shows, and two runs give the same sheet. Cells for a signature stay empty
for the pen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linkage.drawing import furniture
from linkage.drawing.axes import dress, house
from linkage.drawing.paint import paint
from linkage.drawing.palette import LIGHT, Theme
from linkage.drawing.scene import Role, Scene, Window

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEFT_MARGIN, MARGIN = 20.0, 10.0
STRIP = 42.0
"""Height of the strip with title block, key and scale bar, mm."""

CAUTION = 6.0
STATIONS_X, STATIONS_Y = 17.0, 11.0
"""Room for the station scales left of and below the drawing area, mm."""

ISO_SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""Reductions of ISO 5455."""

INCH_SCALES = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
"""Halves of halves, as inch rulers have them (common practice, no source)."""


@dataclass(frozen=True)
class Size:
    """A sheet in landscape, mm."""

    name: str
    width: float
    height: float
    scales: tuple[float, ...] = ISO_SCALES

    def drawing_area(self) -> tuple[float, float, float, float]:
        """Return left, bottom, width and height of the drawing area, mm from the lower left corner of the sheet."""
        left, low = LEFT_MARGIN + STATIONS_X, MARGIN + STRIP + CAUTION + STATIONS_Y
        return left, low, self.width - MARGIN - 4.0 - left, self.height - MARGIN - 4.0 - low


A4 = Size("A4", 297.0, 210.0)
A3 = Size("A3", 420.0, 297.0)
ANSI_B = Size("ANSI B", 431.8, 279.4, INCH_SCALES)
SIZES = {size.name: size for size in (A4, A3, ANSI_B)}


@dataclass(frozen=True)
class TitleBlock:
    """What the title block says. All of it is user text and stays text."""

    title: str
    study: str
    study_hash: str
    version: str
    owner: str = ""
    kind: str = "Side view"
    states: str = ""
    sheet: str = "1 / 1"
    caution: str = "For packaging. Not for stress approval or manufacture. Verify every number before use."


@dataclass(frozen=True)
class Sheet:
    """A figure of the size of the paper with axes whose scale is true on it."""

    figure: Figure
    axes: Axes
    size: Size
    scale: float
    window: Window


def true_scale(extent: Window, size: Size) -> float:
    """Return the greatest standard scale (mm of aircraft per mm of paper) at which ``extent`` fits on the sheet."""
    _, _, width, height = size.drawing_area()
    needed = max((extent[2] - extent[0]) / width, (extent[3] - extent[1]) / height)
    return next((scale for scale in size.scales if scale >= needed * (1 - 1e-9)), needed)


@house()
def blank_sheet(
    block: TitleBlock,
    extent: Window,
    *,
    size: Size = A3,
    scale: float | None = None,
    theme: Theme = LIGHT,
    roles: Sequence[Role] = (),
) -> Sheet:
    """Return a sheet with everything but the drawing. Its axes show ``extent`` in the middle at ``scale`` to one.

    When ``scale`` is None the greatest standard one that fits is taken. Where the extent is larger than the paper at a
    given scale, what is outside is cut. ``roles`` are explained in the key.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    scale = scale or true_scale(extent, size)
    figure = Figure(figsize=(size.width / 25.4, size.height / 25.4), dpi=100, facecolor=theme.paper)
    FigureCanvasAgg(figure)
    left, low, width, height = size.drawing_area()
    centre = complex(extent[0] + extent[2], extent[1] + extent[3]) / 2
    corner, far = centre - complex(width, height) * scale / 2, centre + complex(width, height) * scale / 2
    window = (corner.real, corner.imag, far.real, far.imag)
    paper = figure.add_axes((0, 0, 1, 1), label="sheet", zorder=-1)
    furniture.border(furniture.as_paper(paper, size.width, size.height), size.width, size.height, theme)
    furniture.title_block(paper, (size.width - MARGIN - 180.0, MARGIN), block_cells(block, size, scale), theme)
    furniture.strip(paper, (LEFT_MARGIN, MARGIN), size.width - MARGIN - 180.0 - LEFT_MARGIN, scale, roles, theme)
    furniture.caution(
        paper, (LEFT_MARGIN, MARGIN + STRIP), size.width - LEFT_MARGIN - MARGIN, CAUTION, block.caution, theme
    )
    box = (left / size.width, low / size.height, width / size.width, height / size.height)
    axes = dress(figure.add_axes(box, label="drawing"), theme)
    axes.set(xlim=(window[0], window[2]), ylim=(window[1], window[3]), aspect="equal")
    return Sheet(figure, axes, size, scale, window)


def draw_sheet(
    scene: Scene, block: TitleBlock, *, size: Size = A3, scale: float | None = None, theme: Theme = LIGHT
) -> Sheet:
    """Return ``scene`` drawn at true scale on a sheet; the scene's title belongs in ``block.title``."""
    sheet = blank_sheet(block, scene.extent(), size=size, scale=scale, theme=theme, roles=scene.roles())
    paint(Scene(scene.items, scene.title, scene.caption, sheet.window), sheet.axes, theme, title=False)
    return sheet


def scale_text(scale: float) -> str:
    """Return a scale as a drawing says it, ``1 : 5`` or ``2 : 1``."""
    return f"1 : {scale:.4g}" if scale >= 1 else f"{1 / scale:.4g} : 1"


def block_cells(block: TitleBlock, size: Size, scale: float) -> list[furniture.Cell]:
    """Return the cells of the title block: 180 x 42 mm, ISO 7200 fields."""
    cell = furniture.Cell
    return [
        cell(0, 28, 55, 14, "Legal owner", block.owner),
        cell(0, 14, 55, 14, "Created by", f"noseleg {block.version}"),
        cell(0, 0, 27.5, 14, "Approved by", ""),
        cell(27.5, 0, 27.5, 14, "Date of approval", ""),
        cell(55, 24, 85, 18, "Title", block.title, strong=True),
        cell(55, 12, 85, 12, "Study", block.study),
        cell(55, 0, 85, 12, "States shown", block.states),
        cell(140, 28, 40, 14, "Identification (study hash)", block.study_hash[:12], strong=True),
        cell(140, 19, 40, 9, "Document type", block.kind),
        cell(140, 10, 20, 9, "Scale", scale_text(scale), strong=True),
        cell(160, 10, 20, 9, "Units", "mm"),
        cell(140, 0, 20, 10, "Size", size.name),
        cell(160, 0, 20, 10, "Sheet", block.sheet),
    ]
