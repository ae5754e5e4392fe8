"""The side view of the board: bay drawn once, the gear moved over it; every pin that can be taken is a ring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.path import Path as MplPath
from matplotlib.transforms import IdentityTransform

from linkage.drafting.desk import Desk
from linkage.drafting.handles import Handle
from linkage.drawing.axes import MM, TEXT_SIZE
from linkage.drawing.board.letters import Letters, Note, length
from linkage.drawing.board.posing import Posed, outline, posed
from linkage.drawing.board.strokes import Pen, Strokes
from linkage.drawing.gear_scene import MARGIN, bay, own_role
from linkage.drawing.paint import fit, outline_of, paint
from linkage.drawing.palette import PHANTOM, THICK, Theme
from linkage.drawing.scene import Role, Scene, Window
from linkage.drawing.text import plain
from linkage.gear import BodyPoint, Gear, GearPart
from linkage.obstacles import Obstacle
from linkage.states.cases import shaped

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

Drawn = tuple[Any, Pen]

REACH = 14.0
"""Points of paper within which a pin is taken by the mouse."""

RING, AWAY = 5.0, 9.0
"""Points of paper that a ring takes up from its middle, and how far from it its name stands."""

PLACES = tuple(product((1, -1, 2, -2), (1, -1)))
"""How many times that far above a pin its name stands, and on which side."""

TRACE = 31
"""Poses of the path of the axle."""

NEAR = 0.04
"""Part of the stroke within which the tightest gap is named."""


def window_of(desk: Desk) -> Window:
    """What the gear needs over its stroke, and the ground under it."""
    shown = desk.shown
    at = posed(shown.gear, np.linspace(0.0, shown.driven_up, TRACE))
    spots = [p for part in shown.gear.parts for core in [[at.pin(q) for q in part.core]] for p in _grown(core, part)]
    spots += [at.points(h.body, h.at) for h in desk.handles]
    z = np.concatenate([np.ravel(s) for s in spots])
    return (
        float(z.real.min()) - 2 * MARGIN,
        float(z.imag.min()) - MARGIN / 2,
        float(z.real.max()) + 2 * MARGIN,
        float(z.imag.max()) + MARGIN,
    )


def _grown(core: list[Any], part: GearPart) -> list[Any]:
    return [c + part.radius * d for c in core for d in (1 + 1j, -1 - 1j)]


class Side:
    """The side view. ``artists`` are drawn anew for every picture, all else of its axes once a window size."""

    def __init__(self, ax: Axes, desk: Desk, obstacles: tuple[Obstacle, ...], theme: Theme) -> None:
        self.ax, self.theme = ax, theme
        fit(ax, window_of(desk), 0.0)
        (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()  # to the edges of the axes, or items would seem to end there
        window = (x0, y0, x1, y1)
        told = "Side view of the bay, nose to the left."
        paint(Scene(tuple(bay(obstacles, window)), "", told, window), ax, theme, text_size=TEXT_SIZE - 1)
        self.pens = Pens(theme)
        self.gear, self.marks = Strokes(ax), Strokes(ax)
        worst = theme.style(Role.WORST)
        self.gap_colour = worst.text
        self.gap_name = Letters((0.0, 0.0), ax.transData, theme, size=TEXT_SIZE - 1, on_drawing=True)
        self.name = Letters((0.0, 0.0), IdentityTransform(), theme, bold=True, on_drawing=True)
        self._named = PLACES[0]
        self.note = Note(ax, theme, worst.text, worst.stroke)
        self._kept: tuple[Any, MplPath] | None = None
        self._taken: tuple[Any, Any] | None = None
        self.at = np.zeros(0, dtype=complex)
        self.grey = False
        """The pin in hand is where the gear cannot be built: the last good gear is shown, pale."""

    @property
    def artists(self) -> list[Artist]:
        return [self.gear, self.marks, self.gap_name, self.name, self.note]

    def show(self, desk: Desk) -> None:
        """Set everything that moves to what the desk has."""
        shown, self.grey = desk.shown, bool(desk.trouble)
        stroke = np.linspace(0.0, shown.driven_up, TRACE)
        at = posed(shown.gear, np.concatenate([[desk.driven], stroke]))
        self.at = np.array([at.handle(h, 0) for h in desk.handles])
        axle = at.pin(shown.gear.pins["axle"])[1:]
        links = _skeleton(shown.gear, desk.handles, at)
        pens = self.pens
        self.gear.set(
            *self._keep_out(desk),
            (_rings(shown.gear.parts, at, -1), pens.up),
            *self._parts(desk, at),
            (axle, pens.path),
            *self._before(desk),
            (links, pens.pale(pens.links, self.grey)),
        )
        self.marks.set(*self._pins(desk), *self._gap(desk), *self._wish(desk))
        self._say(desk)

    def nearest(self, x: float, y: float) -> int | None:
        """The pin at a place of the window in pixels, None where there is none."""
        if not len(self.at):
            return None
        spots = self._spots()
        away = np.hypot(spots[:, 0] - x, spots[:, 1] - y)
        figure = self.ax.get_figure(root=True)
        reach = REACH * (figure.dpi if figure is not None else 72.0) / 72.0
        return int(away.argmin()) if away.min() <= reach else None

    def _spots(self) -> Any:
        """Where the pins are seen, pixels (pins, 2)."""
        return self.ax.transData.transform(np.column_stack([self.at.real, self.at.imag]))

    def _parts(self, desk: Desk, at: Posed) -> Iterator[Drawn]:
        shown = desk.shown
        parts = shown.gear.parts
        if desk.state:
            state = shown.study.state[desk.state - 1].model_copy(update={"play": "none"})
            parts = shaped(shown.study, shown.gear, state, {})
        for part in parts:
            pen = self.pens.part(own_role(shown.gear, part))
            yield MplPath(outline(part, at.core(part, 0)), closed=True), self.pens.pale(pen, self.grey)

    def _pins(self, desk: Desk) -> Iterator[Drawn]:
        fixed = [z for h, z in zip(desk.handles, self.at, strict=True) if h.fixed]
        yield fixed, self.pens.pale(self.pens.fixed, self.grey)
        yield self.at, self.pens.pale(self.pens.pins, self.grey)
        yield self.at[desk.selected], self.pens.chosen

    def _keep_out(self, desk: Desk) -> Iterator[Drawn]:
        shape = desk.exact.keep_out if desk.exact is not None else None
        if shape is None:
            return
        if self._kept is None or self._kept[0] is not shape:
            self._kept = shape, outline_of(shape)
        yield self._kept[1], self.pens.keep_out

    def _gap(self, desk: Desk) -> Iterator[Drawn]:
        """The tightest place of the whole stroke."""
        if desk.shown.gap is not None:
            ends = desk.shown.gap[:2]
            yield ends, self.pens.gap
            yield ends, self.pens.gap_end

    def _before(self, desk: Desk) -> Iterator[Drawn]:
        """Where the links were when the pin was taken."""
        if desk.grip is None:
            return
        if self._taken is None or self._taken[0] is not desk.grip:
            gear, pins = desk.grip.draft.gear, desk.grip.draft.handles
            self._taken = desk.grip, _skeleton(gear, pins, posed(gear, np.array([desk.grip.driven])))
        yield self._taken[1], self.pens.before

    def _wish(self, desk: Desk) -> Iterator[Drawn]:
        """Where the pin is drawn to, if it cannot be there."""
        if desk.trouble and desk.pulled is not None:
            yield desk.pulled, self.pens.wish

    def _say(self, desk: Desk) -> None:
        middle = np.mean(self.ax.get_xlim())
        here = self.at[desk.selected]
        text = plain(f"{desk.handle.name}  FS {here.real:.1f}  WL {here.imag:.1f}", 60)
        self.name.set(text, "", self._beside(desk.selected, text))
        gap = desk.shown.gap
        if gap is None or abs(gap[2] - desk.driven) >= NEAR * desk.shown.driven_up:
            self.gap_name.set("")
        else:
            side = "right" if gap[0].real > middle else "left"
            self.gap_name.set("  tightest gap of the stroke  ", self.gap_colour, (gap[1].real, gap[1].imag), side)
        self.note.text = f"CANNOT: {desk.trouble}" if desk.trouble else ""

    def _beside(self, pin: int, text: str) -> tuple[float, float]:
        """Where the name of a pin begins, pixels: beside it, within the view, and over as few other pins as can be.
        Where it stood in the last picture it stays while it hides none."""
        figure: Any = self.ax.get_figure(root=True)
        px = figure.dpi / 72.0
        width, box = length(text, self.name.size * px, True), self.ax.bbox
        x, y = self._spots().T
        near, high = RING * px, (self.name.size / 2 + RING) * px
        best, least = (0.0, 0.0), np.inf
        for place in (self._named, *PLACES):
            left, mid = x[pin] + (AWAY * px if place[1] > 0 else -AWAY * px - width), y[pin] + place[0] * AWAY * px
            left = min(max(left, box.x0), box.x1 - width)
            hidden = int(np.count_nonzero((abs(y - mid) < high) & (x > left - near) & (x < left + width + near)))
            cost = hidden + len(x) * (not box.y0 + 2 * near < mid < box.y1 - 2 * near)
            if cost < least:
                best, least, self._named = (float(left), float(mid)), cost, place
            if not cost:
                break
        return best


class Pens:
    """How everything that moves in the side view looks."""

    def __init__(self, theme: Theme) -> None:
        self.theme = theme
        up, worst = theme.style(Role.UP).stroke, theme.style(Role.WORST).stroke
        self.keep_out = Pen(theme.style(Role.KEEPOUT).stroke)
        self.up = Pen(up, 0.8, PHANTOM)
        self.path = Pen(theme.muted, 0.7, (1, 2))
        self.before = Pen(theme.muted, 1.1, (4, 3))
        self.links = Pen(theme.ink, 0.8)
        self.fixed = Pen(theme.ink, 1.0, fill=theme.muted, mark=_foot(), size=13)
        self.pins = Pen(theme.ink, 1.0, fill=theme.paper, mark="o", size=7)
        self.chosen = Pen(up, 2.4, mark="o", size=13)
        self.wish = Pen(worst, 2.4, mark="x", size=12)
        self.gap = Pen(worst, 2.2)
        self.gap_end = Pen(worst, 1.0, fill=worst, mark="o", size=4)

    def part(self, role: Role) -> Pen:
        style = self.theme.style(role)
        return Pen(style.stroke, THICK * MM, fill=style.fill or "", alpha=0.72)

    @staticmethod
    def pale(pen: Pen, pale: bool) -> Pen:
        """The pen, weaker where what it draws is not what was asked for."""
        return replace(pen, alpha=0.42 * pen.alpha) if pale else pen


def _rings(parts: tuple[GearPart, ...], at: Posed, pose: int) -> MplPath:
    """Outlines of all parts at a pose as one path."""
    rings = [MplPath(outline(p, at.core(p, pose)), closed=True) for p in parts]
    return MplPath.make_compound_path(*rings) if rings else MplPath(np.zeros((1, 2)))


def _skeleton(gear: Gear, handles: tuple[Handle, ...], at: Posed) -> Any:
    """Lines from pin to pin, broken by NaN."""
    pins = {h.name: BodyPoint(h.body, h.at) for h in handles} | dict(gear.pins)
    chains = [
        ("upper pin", "knee", "lug"),
        ("trunnion", "lug"),
        ("trunnion", "axle"),
        ("lock root", "lock knee", "lock pin"),
    ]
    if "knee" not in pins:
        chains[0] = ("upper pin", "lug")
    chains += [("upper pin", "track end")]
    chains += [("crank pivot", "crank rod pin", "crank rod end"), ("crank pivot", "actuator pin")]
    told = {name for chain in chains for name in chain}
    for start, end in ((" root", " pin"), (" from", " to"), (" hinge", " tip"), (" rod pin", " rod end")):
        chains += [(n, n.removesuffix(start) + end) for n in pins if n.endswith(start) and n not in told]
    points: list[complex] = []
    for chain in chains:
        if all(name in pins for name in chain):
            points += [*(complex(at.pin(pins[name])[0]) for name in chain), complex(np.nan, np.nan)]
    return np.array(points)


def _foot() -> MplPath:
    """The sign of a pin on the airframe: a foot below the ring."""
    return MplPath(np.array([[0.0, 0.0], [-0.62, -1.0], [0.62, -1.0], [0.0, 0.0]]), closed=True)
