"""Which texts a scene needs, how large they are, where they may point, and the line work that belongs to them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, gaussian_filter
from shapely.geometry import MultiPoint, box
from shapely.geometry.base import BaseGeometry

from linkage.drawing import marks
from linkage.drawing.axes import lettering, measure
from linkage.drawing.ink import CELL, Ink, Mask
from linkage.drawing.palette import Theme
from linkage.drawing.paper import Paper, shape_of
from linkage.drawing.placement import Placed, Request, place
from linkage.drawing.scene import Dimension, Item, Leader, Note, Path, PinMark, Role, Scene, text_of
from linkage.drawing.text import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Text

AIR = 0.6
"""Free strip around a text, mm of paper."""

NEAR = 1.6
MOST_ANCHORS = 6
PIN_ZONE = 3.2
AIR_COST = 2.5
AREA_COST = {Role.SWEPT: 0.15, Role.KEEPOUT: 0.4, Role.ACTUATOR: 1.5, Role.HIDDEN: 0.1, Role.TRANSIT: 0.4, Role.UP: 0.7}
"""How unwelcome foreign text is on the inside of a shape; 1 when not listed. Hatching steps aside for text."""

BACKGROUND = (Role.SWEPT, Role.KEEPOUT)
"""Large regions that lie behind everything: they do not hide what a leader points at."""


PHANTOMS = (Role.TRANSIT, Role.UP, Role.HIDDEN)
"""Other positions and hidden edges: a part drawn over them is still plain to see."""


@dataclass(frozen=True)
class PlacedText:
    """A text artist (not yet shown), the place of its centre and the box it takes, mm of paper."""

    artist: Text
    centre: complex
    box: BaseGeometry
    leader: tuple[complex, ...]


@dataclass(frozen=True)
class Lettered:
    """Everything written on a picture, laid out."""

    texts: tuple[PlacedText, ...]
    signs: tuple[tuple[marks.Marks, Role], ...]


@dataclass(frozen=True)
class _Wish:
    """A text that wants a place; ``dot`` says that its leader ends inside an area."""

    text: str
    role: Role
    anchors: NDArray[np.complex128]
    home: Mask | None = None
    home_cost: float = 0.0
    near: float = NEAR
    standoff: float = 0.0
    urgency: float = 0.0
    end: str = "none"
    bold: bool = False


def letter(scene: Scene, ax: Axes, paper: Paper, theme: Theme, size: float) -> Lettered:
    """Lay out every text of a scene. Adds the text artists to ``ax``, hidden, for ``paint`` to show."""
    ink = Ink(paper.width, paper.height)
    shapes = _shapes(scene, paper)
    _blacken(ink, shapes, scene, paper)
    signs: list[tuple[marks.Marks, Role]] = []
    pins = [paper.place(item.at) for item in scene.items if isinstance(item, PinMark)]
    wishes = _shape_wishes(shapes, pins, ink)
    for item in scene.items:
        if isinstance(item, Dimension) and (paper.holds(item.a) or paper.holds(item.b)):
            layout = marks.dimension(paper.place(item.a), paper.place(item.b), item.offset, ink)
            signs.append((layout.marks, item.role))
            ink.lines[ink.along(layout.marks.lines(), 2)] = 1.0
            anchors = np.array(layout.anchors, dtype=complex)
            wishes.append(_Wish(item.text, item.role, anchors, urgency=2.0, bold=item.role is Role.WORST))
    wishes += [wish for item in scene.items if (wish := _remark(item, paper)) is not None]
    wishes = [wish for wish in wishes if wish.text]
    artists = [_artist(wish, ax, theme, size) for wish in wishes]
    requests = [_request(wish, artist) for wish, artist in zip(wishes, artists, strict=True)]
    placed = place(requests, ink)
    signs += [(_leader_marks(p.leader, w.end), w.role) for p, w in zip(placed, wishes, strict=True) if p.leader]
    texts = [_placed_text(a, r, p) for a, r, p in zip(artists, requests, placed, strict=True)]
    return Lettered(tuple(texts), tuple(signs))


def _shapes(scene: Scene, paper: Paper) -> list[tuple[Item, BaseGeometry]]:
    """Shapes in mm of paper, cut at its edges; those that lie outside are gone."""
    shapes = ((item, shape_of(item)) for item in scene.items)
    cut = ((item, paper.on_paper(shape)) for item, shape in shapes if shape is not None)
    return [(item, shape) for item, shape in cut if not shape.is_empty]


def _blacken(ink: Ink, shapes: list[tuple[Item, BaseGeometry]], scene: Scene, paper: Paper) -> None:
    """Put everything that is drawn into the rasters."""
    background = np.zeros(ink.shape, dtype=np.float32)
    for item, shape in shapes:
        ink.lines[ink.along(shape)] = 1.0
        inside = ink.inside(shape) * np.float32(_area_cost(item))
        if item.role in BACKGROUND:
            background = np.maximum(background, inside)
        else:
            ink.fills += inside
    ink.fills += np.where(ink.fills > 0, 0.0, background).astype(np.float32)
    for item in scene.items:
        if isinstance(item, PinMark) and paper.holds(item.at):
            ink.lines[ink.along(marks.pin(paper.place(item.at), item.fixed).lines())] = 1.2
    # Open ground far from any line reads better than a slot between two.
    ink.fills += AIR_COST * gaussian_filter(np.minimum(ink.lines, 1.0), 4.0 / CELL)


def _area_cost(item: Item) -> float:
    return AREA_COST.get(item.role, 1.0)


def _shape_wishes(shapes: list[tuple[Item, BaseGeometry]], pins: list[complex], ink: Ink) -> list[_Wish]:
    """One wish per labelled shape; shapes that lie exactly on one another share a leader."""
    groups: dict[bytes, list[tuple[Item, BaseGeometry]]] = {}
    for item, shape in shapes:
        if text_of(item):
            groups.setdefault(shapely.normalize(shape).wkb, []).append((item, shape))
    others, hiding = np.zeros(ink.shape, dtype=np.int16), np.zeros(ink.shape, dtype=np.int16)
    for item, shape in shapes:
        if item.role not in BACKGROUND:
            others += ink.inside(shape)
        if item.role not in (*BACKGROUND, *PHANTOMS):
            hiding += ink.inside(shape)
    near_pin = ink.inside(MultiPoint([(z.real, z.imag) for z in pins]).buffer(PIN_ZONE))
    wishes = []
    for members in groups.values():
        item, shape = members[0]
        names = "\n".join(dict.fromkeys(wrapped(text_of(member)) for member, _ in members))
        wishes.append(_shape_wish(names, item, shape, (others, hiding), near_pin, ink))
    return wishes


def _shape_wish(
    names: str,
    item: Item,
    shape: BaseGeometry,
    counts: tuple[NDArray[np.int16], NDArray[np.int16]],
    near_pin: Mask,
    ink: Ink,
) -> _Wish:
    inside = ink.inside(shape)
    if (isinstance(item, Path) and not item.closed) or not inside.any():
        return _Wish(names, item.role, _spread(ink.along(shape)), end="arrow")
    others, hiding = counts
    foreign = others > (0 if item.role in BACKGROUND else 1)
    hidden = foreign if item.role in (*BACKGROUND, *PHANTOMS) else hiding > 1
    # A leader should end where only this part is, and not at a pin, which has a name of its own.
    tries = (inside & ~hidden & ~near_pin, inside & ~hidden, inside & ~near_pin, inside)
    cells = next(cells for cells in tries if cells.any())
    return _Wish(names, item.role, _spread(cells), inside & ~foreign, _area_cost(item), near=0.0, end="dot")


def _spread(cells: Mask) -> NDArray[np.complex128]:
    """Pick a few places well inside a set of cells and far from each other."""
    rows, columns = np.nonzero(cells)
    if rows.size == 0:
        return np.zeros(0, dtype=complex)
    corner = (rows.min(), columns.min())
    cut = np.pad(cells[corner[0] : rows.max() + 1, corner[1] : columns.max() + 1], 1)
    depth = distance_transform_edt(cut)[1:-1, 1:-1]
    i, j = np.nonzero(depth >= max(min(0.55 * depth.max(), 4.0), 0.5))
    depths = depth[i, j]
    places: NDArray[np.complex128] = (j + corner[1] + 0.5 + 1j * (i + corner[0] + 0.5)) * CELL
    chosen = [int(np.argmax(depths))]
    away = np.abs(places - places[chosen[0]])
    while len(chosen) < MOST_ANCHORS and away.max() > 2.0:
        chosen.append(int(np.argmax(away)))
        away = np.minimum(away, np.abs(places - places[chosen[-1]]))
    return np.asarray(places[chosen], dtype=np.complex128)


def _remark(item: Item, paper: Paper) -> _Wish | None:
    """The wish of a pin label, a leader or a note."""
    if isinstance(item, PinMark) and paper.holds(item.at):
        at = np.array([paper.place(item.at)])
        return _Wish(wrapped(item.label), item.role, at, near=2.2, standoff=1.3, urgency=1.0)
    if isinstance(item, Leader) and paper.holds(item.at):
        return _Wish(
            wrapped(item.text), item.role, np.array([paper.place(item.at)]), end="arrow", urgency=1.0, near=0.0
        )
    if isinstance(item, Note):
        near = [] if item.at is None or not paper.holds(item.at) else [paper.place(item.at)]
        return _Wish(wrapped(item.text, 40, 4), item.role, np.array(near, dtype=complex), near=30.0)
    return None


def _artist(wish: _Wish, ax: Axes, theme: Theme, size: float) -> Text:
    colour = theme.style(wish.role).text
    weight = "bold" if wish.bold else "normal"
    style = lettering(theme, size=size, weight=weight, colour=colour)
    text = wish.text if "\n" in wish.text else wrapped(wish.text, 34, 3)
    return ax.text(0, 0, text, ha="center", va="center", multialignment="left", linespacing=1.15, visible=True, **style)


def _request(wish: _Wish, artist: Text) -> Request:
    width, height = measure(artist)
    artist.set_visible(False)
    return Request(
        width + 2 * AIR,
        height + 2 * AIR,
        wish.anchors,
        wish.home,
        wish.home_cost,
        wish.near,
        wish.standoff,
        wish.urgency,
    )


def _placed_text(artist: Text, request: Request, placed: Placed) -> PlacedText:
    corner, far = placed.corner, placed.corner + complex(request.width, request.height)
    return PlacedText(artist, (corner + far) / 2, box(corner.real, corner.imag, far.real, far.imag), placed.leader)


def _leader_marks(leader: tuple[complex, ...], end: str) -> marks.Marks:
    """A thin line that ends in a dot inside an area, in an arrow on a line, in nothing at a pin or dimension line."""
    tip, before = leader[-1], leader[-2]
    if end == "dot":
        return marks.Marks(thin=(leader,), solid=(marks.circle(tip, 0.5, 16),))
    if end == "arrow" and abs(tip - before) > 0.5:
        return marks.Marks(thin=(leader,), solid=(marks.arrow(tip, tip - before),))
    return marks.Marks(thin=(leader,))


__all__ = ["Lettered", "PlacedText", "letter"]
