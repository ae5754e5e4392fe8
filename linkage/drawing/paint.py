"""HOW a scene becomes a picture: ``paint(scene, ax, theme)`` takes and returns a matplotlib axes.

Equal scale always. Labels are placed first, then everything is drawn, so that hatching can stop short of a text and
nothing is written across a part where there is free ground. Sizes on paper follow from the size of the axes: lay out
the figure before painting, not after.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from linkage.drawing import marks
from linkage.drawing.axes import MM, TEXT_SIZE, dress, house
from linkage.drawing.ink import atoms
from linkage.drawing.labels import Lettered, letter
from linkage.drawing.palette import LIGHT, THIN, Style, Theme
from linkage.drawing.paper import Paper, shape_of
from linkage.drawing.scene import Bar, Item, Path, Region, Role, Scene, Window

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.path import Path as MplPath

X_LABEL, Y_LABEL = "FS, mm (aft +)", "WL, mm (up +)"
LABEL_LAYER = 8.0
HATCH_WIDTH = 0.18


@house()
def paint(
    scene: Scene, ax: Axes, theme: Theme = LIGHT, *, text_size: float = TEXT_SIZE, title: bool = True, pad: float = 0.08
) -> Axes:
    """Draw ``scene`` on ``ax`` and return ``ax``.

    ``pad`` is the room for labels around the scene as a share of its size (it only applies when the scene has no window
    of its own). ``title=False`` leaves the title to a sheet's title block.
    """
    dress(ax, theme, x=X_LABEL, y=Y_LABEL, title=scene.title if title else "")
    paper = fit(ax, scene.extent(), 0.0 if scene.window else pad)
    lettered = letter(scene, ax, paper, theme, text_size)
    boxes = shapely.union_all([text.box for text in lettered.texts]) if lettered.texts else None
    for item in scene.items:
        draw(item, ax, theme, paper, keep_free=boxes)
    _draw_lettering(lettered, ax, theme, paper)
    ax.set_label(scene.caption)
    return ax


def fit(ax: Axes, extent: Window, pad: float = 0.08) -> Paper:
    """Set limits of equal scale that show ``extent`` (mm) and fill the axes; return the axes as paper."""
    figure = ax.get_figure(root=True)
    if figure is None:
        raise ValueError("the axes must stand on a figure")
    x0, y0, x1, y1 = extent
    size = figure.get_size_inches() * 25.4
    position = ax.get_position(original=True)
    width, height = position.width * float(size[0]), position.height * float(size[1])
    scale = max((x1 - x0) / width, (y1 - y0) / height, 1e-9) * (1 + 2 * pad)
    centre = complex(x0 + x1, y0 + y1) / 2
    origin = centre - complex(width, height) * scale / 2
    ax.set_aspect("equal", adjustable="box")
    ax.set_xlim(origin.real, origin.real + width * scale)
    ax.set_ylim(origin.imag, origin.imag + height * scale)
    return Paper(origin, scale, width, height)


def draw(item: Item, ax: Axes, theme: Theme, paper: Paper, keep_free: BaseGeometry | None = None) -> list[Artist]:
    """Add one item without its label; return what was added, lowest layer first.

    For animations: move the first artist with ``set_path(outline_of(new_item))``. ``keep_free`` (mm of paper) is where
    no hatching may go. Pin marks are drawn here too; dimensions and remarks belong to the lettering.
    """
    from linkage.drawing.scene import PinMark

    style = theme.style(item.role)
    if isinstance(item, PinMark):
        return (
            draw_marks(marks.pin(paper.place(item.at), item.fixed), ax, theme, paper, style)
            if paper.holds(item.at)
            else []
        )
    geometry = shape_of(item)
    if geometry is None:
        return []
    added: list[Artist] = [_patch(geometry, ax, style)]
    if style.hatch is not None and not (isinstance(item, Path) and not item.closed):
        added += _hatched(geometry, ax, style, paper, keep_free)
    if isinstance(item, Bar) and item.role is Role.SPRING:
        coil = marks.spring(paper.place(item.a), paper.place(item.b), item.radius / paper.scale * 0.8)
        added += draw_marks(marks.Marks(thin=(coil,)), ax, theme, paper, style)
    if isinstance(item, Path) and item.role is Role.GROUND:
        on_paper = [complex(x, y) for x, y in shapely.get_coordinates(paper.on_paper(geometry))]
        if len(on_paper) >= 2:
            added += draw_marks(marks.Marks(thin=marks.ground_ticks(on_paper)), ax, theme, paper, style)
    return added


def outline_of(item: Item | BaseGeometry) -> MplPath:
    """Return the outline of a shape as a matplotlib path, aircraft mm."""
    from matplotlib.path import Path as MplPath

    geometry = item if isinstance(item, BaseGeometry) else shape_of(cast(Item, item))
    rings: list[MplPath] = []
    for part in atoms(geometry):
        lines = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        rings += [MplPath(np.asarray(line.coords), closed=part.geom_type == "Polygon") for line in lines]
    return MplPath.make_compound_path(*rings) if rings else MplPath(np.empty((0, 2)))


def draw_marks(
    sign: marks.Marks, ax: Axes, theme: Theme, paper: Paper, style: Style, layer: float | None = None
) -> list[Artist]:
    """Draw line work given in mm of paper."""
    from matplotlib.collections import LineCollection, PolyCollection

    added: list[Artist] = []
    order = max(style.layer, 5.0) if layer is None else layer
    for rings, face, width in ((sign.open, theme.paper, THIN), (sign.solid, style.stroke, 0.1)):
        if rings:
            polygons = [_xy(ring, paper) for ring in rings]
            collection = PolyCollection(polygons, facecolor=face, edgecolor=style.stroke, linewidth=width * MM)
            added.append(ax.add_collection(collection, autolim=False))
    for lines, width in ((sign.thin, THIN), (sign.thick, 2 * THIN)):
        if lines:
            segments = [_xy(line, paper) for line in lines]
            added.append(
                ax.add_collection(
                    LineCollection(segments, colors=style.stroke, linewidths=width * MM, linestyles="solid"),
                    autolim=False,
                )
            )
    for artist in added:
        artist.set_zorder(order)
    return added


def _patch(geometry: BaseGeometry, ax: Axes, style: Style) -> Artist:
    from matplotlib.colors import to_rgba
    from matplotlib.patches import PathPatch

    areal = geometry.geom_type not in ("LineString", "MultiLineString")
    face = to_rgba(style.fill, style.opacity) if style.fill and areal else "none"
    patch = PathPatch(outline_of(geometry), facecolor=face, edgecolor=style.stroke, linewidth=style.width * MM)
    patch.set(zorder=style.layer, capstyle="butt", joinstyle="round", fill=areal)
    if style.dashes:
        # Given in points, so that a user's setting for scaling dashes changes nothing.
        patch.set_linestyle((0, tuple(style.dashes)))
    return ax.add_artist(patch)


def _hatched(
    geometry: BaseGeometry, ax: Axes, style: Style, paper: Paper, keep_free: BaseGeometry | None
) -> list[Artist]:
    from matplotlib.collections import LineCollection

    assert style.hatch is not None
    area = paper.on_paper(geometry)
    if keep_free is not None:
        area = shapely.difference(area, keep_free)
    lines = [part for part in atoms(marks.hatching(area, style.hatch)) if part.geom_type == "LineString"]
    segments = [_xy([complex(x, y) for x, y in line.coords], paper) for line in lines]
    hatch = LineCollection(segments, colors=style.stroke, linewidths=HATCH_WIDTH * MM, alpha=0.75)
    hatch.set_zorder(style.layer + 0.05)
    return [ax.add_collection(hatch, autolim=False)] if segments else []


def _draw_lettering(lettered: Lettered, ax: Axes, theme: Theme, paper: Paper) -> None:
    for sign, role in lettered.signs:
        draw_marks(sign, ax, theme, paper, theme.style(role), layer=LABEL_LAYER)
    for text in lettered.texts:
        centre = paper.aircraft(text.centre)
        text.artist.set(
            position=(centre.real, centre.imag), transform=ax.transData, visible=True, zorder=LABEL_LAYER + 0.5
        )


def _xy(points: Sequence[complex], paper: Paper) -> np.ndarray:
    z = paper.aircraft(np.asarray(points, dtype=complex))  # type: ignore[arg-type]
    return np.column_stack([np.real(z), np.imag(z)])


__all__ = ["Region", "draw", "draw_marks", "fit", "outline_of", "paint"]
