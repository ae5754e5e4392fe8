"""The side view of the board: bay drawn once, the gear moved over it; every pin that can be taken is a ring."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.drafting.desk import Desk
from linkage.drawing.axes import MM, TEXT_SIZE, lettering
from linkage.drawing.board.letters import Letters
from linkage.drawing.board.posing import Posed, outline, posed
from linkage.drawing.gear_scene import MARGIN
from linkage.drawing.paint import outline_of, paint
from linkage.drawing.palette import PHANTOM, THICK, Theme
from linkage.drawing.scene import Disc, Item, Path, Region, Role, Scene, Window
from linkage.drawing.text import plain, wrapped
from linkage.gear import GearPart
from linkage.obstacles import Obstacle
from linkage.states.cases import shaped

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.patches import PathPatch

REACH = 14.0
"""Points of paper within which a pin is taken by the mouse."""

TRACE = 31
"""Poses of the path of the axle."""

NEAR = 0.04
"""Part of the stroke within which the tightest gap is named."""

LIFT = 10.0
"""Drawing order of what moves: over everything of the bay."""


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


def bay_scene(obstacles: tuple[Obstacle, ...], window: Window) -> Scene:
    """The bay items with their names, as in the drawings of the review."""
    from shapely.geometry import LineString, box

    frame, items, named = box(*window), list[Item](), set[str]()
    for o in obstacles:
        shape = LineString([(z.real, z.imag) for z in o.line]) if o.line else o.shape
        if not shape.intersects(frame):
            continue
        role = Role.HOT if o.hot else Role.ENGINE if o.with_engine else Role.BAY
        label = "" if o.name in named else o.name
        named.add(o.name)
        if o.line:
            items.append(Path(o.line, False, Role.HIDDEN, label))
        elif o.radius > 0:
            items.append(Disc(complex(o.shape.x, o.shape.y), o.radius, role, label))
        else:
            items.append(Region(shape.intersection(frame), role, label))
    return Scene(tuple(items), "", "Side view of the bay, nose to the left.", window)


class Side:
    """The side view. ``artists`` are drawn anew for every picture, all else of its axes once a window size."""

    def __init__(self, ax: Axes, desk: Desk, obstacles: tuple[Obstacle, ...], theme: Theme) -> None:
        self.ax, self.theme = ax, theme
        paint(bay_scene(obstacles, window_of(desk)), ax, theme, text_size=TEXT_SIZE - 1)
        style = theme.style(Role.KEEPOUT)
        self.keep_out = _patch(ax, style.stroke, 1.0, None, LIFT - 1)
        self.up = _patch(ax, theme.style(Role.UP).stroke, 0.8, None, LIFT)
        self.up.set_linestyle((0, PHANTOM))
        (self.path,) = ax.plot([], [], color=theme.muted, linewidth=0.7, linestyle=(0, (1, 2)), zorder=LIFT)
        (self.before,) = ax.plot([], [], color=theme.muted, linewidth=1.1, linestyle=(0, (4, 3)), zorder=LIFT)
        self.parts: list[PathPatch] = []
        (self.links,) = ax.plot([], [], color=theme.ink, linewidth=0.8, zorder=LIFT + 2)
        marker: dict[str, Any] = {"linestyle": "none", "markeredgecolor": theme.ink, "zorder": LIFT + 3}
        (self.fixed,) = ax.plot([], [], marker=_foot(), markersize=13, markerfacecolor=theme.muted, **marker)
        (self.pins,) = ax.plot([], [], marker="o", markersize=7, markerfacecolor=theme.paper, **marker)
        (self.chosen,) = ax.plot([], [], marker="o", markersize=13, zorder=LIFT + 4)
        self.chosen.set(markerfacecolor="none", markeredgecolor=theme.style(Role.UP).stroke, markeredgewidth=2.4)
        worst = theme.style(Role.WORST)
        self.gap_colour = worst.text
        (self.wish,) = ax.plot([], [], marker="x", markersize=12, color=worst.stroke, zorder=LIFT + 5)
        self.wish.set(markeredgewidth=2.4)
        (self.gap,) = ax.plot([], [], color=worst.stroke, linewidth=2.2, marker="o", markersize=4, zorder=LIFT + 3)
        self.gap_name = Letters((0.0, 0.0), ax.transData, theme, size=TEXT_SIZE - 1, paper=theme.paper)
        self.name = Letters((0.0, 0.0), ax.transData, theme, bold=True, paper=theme.paper)
        self.note = ax.text(0.012, 0.985, "", transform=ax.transAxes, va="top", zorder=LIFT + 7)
        self.note.set(**lettering(theme, colour=worst.text, weight="bold"))
        self.note.set_bbox({"facecolor": theme.paper, "edgecolor": worst.stroke, "pad": 3.0, "alpha": 0.92})
        self._grey: bool | None = None
        self._kept: Any = None
        self._taken: Any = None
        self._drawn_as: tuple[str, ...] = ()
        self.at = np.zeros(0, dtype=complex)

    @property
    def artists(self) -> list[Artist]:
        lines: list[Line2D] = [
            self.path,
            self.before,
            self.links,
            self.fixed,
            self.pins,
            self.chosen,
            self.gap,
            self.wish,
        ]
        return [self.keep_out, self.up, *self.parts, *lines, self.gap, self.wish, self.gap_name, self.name, self.note]

    def show(self, desk: Desk) -> None:
        """Set everything that moves to what the desk has."""
        shown = desk.shown
        stroke = np.linspace(0.0, shown.driven_up, TRACE)
        at = posed(shown.gear, np.concatenate([[desk.driven], stroke]))
        self._show_parts(desk, at)
        axle = at.pin(shown.gear.pins["axle"])[1:]
        self.path.set_data(axle.real, axle.imag)
        links = _skeleton(shown.gear.pins, at)
        self.links.set_data(links.real, links.imag)
        self._show_pins(desk, at)
        self._show_keep_out(desk)
        self._show_gap(desk)
        self._show_before(desk)
        trouble = desk.trouble
        self.note.set_text(wrapped(f"CANNOT: {trouble}", 70, 5) if trouble else "")
        self.note.set_visible(bool(trouble))
        self.wish.set_visible(bool(trouble) and desk.pulled is not None)
        if desk.pulled is not None:
            self.wish.set_data([desk.pulled.real], [desk.pulled.imag])
        if self._grey is not bool(trouble):
            self._shade(bool(trouble))

    def nearest(self, x: float, y: float) -> int | None:
        """The pin at a place of the window in pixels, None where there is none."""
        if not len(self.at):
            return None
        spots = self.ax.transData.transform(np.column_stack([self.at.real, self.at.imag]))
        away = np.hypot(spots[:, 0] - x, spots[:, 1] - y)
        figure = self.ax.get_figure(root=True)
        reach = REACH * (figure.dpi if figure is not None else 72.0) / 72.0
        return int(away.argmin()) if away.min() <= reach else None

    def _show_parts(self, desk: Desk, at: Posed) -> None:
        from matplotlib.path import Path as MplPath

        shown = desk.shown
        parts = shown.gear.parts
        if desk.state:
            state = shown.study.state[desk.state - 1].model_copy(update={"play": "none"})
            parts = shaped(shown.study, shown.gear, state, {})
        names = tuple(p.name for p in parts)
        if names != self._drawn_as:
            self._replace_parts(desk, parts)
            self._drawn_as = names
        for patch, part in zip(self.parts, parts, strict=True):
            patch.set_path(MplPath(outline(part, at.core(part, 0)), closed=True))
        rings = [MplPath(outline(p, at.core(p, -1)), closed=True) for p in shown.gear.parts]
        self.up.set_path(MplPath.make_compound_path(*rings) if rings else MplPath(np.zeros((1, 2))))

    def _replace_parts(self, desk: Desk, parts: tuple[GearPart, ...]) -> None:
        for patch in self.parts:
            patch.remove()
        self.parts = []
        for part in parts:
            style = self.theme.style(_role(part, desk.shown.gear.springs))
            patch = _patch(self.ax, style.stroke, THICK * MM, style.fill, LIFT + 1)
            patch.set(alpha=0.72, animated=True)
            self.parts.append(patch)
        self._grey = None

    def _show_pins(self, desk: Desk, at: Posed) -> None:
        self.at = np.array([at.handle(h, 0) for h in desk.handles])
        fixed = np.array([z for h, z in zip(desk.handles, self.at, strict=True) if h.fixed])
        self.fixed.set_data(fixed.real, fixed.imag)
        self.pins.set_data(self.at.real, self.at.imag)
        here = self.at[desk.selected]
        self.chosen.set_data([here.real], [here.imag])
        left = here.real > np.mean(self.ax.get_xlim())
        scale = abs(np.diff(self.ax.get_xlim())[0]) / 45
        text = plain(f"{desk.handle.name}  FS {here.real:.1f}  WL {here.imag:.1f}", 60)
        place = (here.real + (-scale if left else scale), here.imag + 0.8 * scale)
        self.name.set(text, "", place, "right" if left else "left")

    def _show_keep_out(self, desk: Desk) -> None:
        from matplotlib.path import Path as MplPath

        shape = desk.exact.keep_out if desk.exact is not None else None
        if shape is not None and shape is not self._kept:
            self.keep_out.set_path(outline_of(shape))
            self._kept = shape
        elif shape is None and self._kept is not None:
            self.keep_out.set_path(MplPath(np.zeros((1, 2))))
            self._kept = None

    def _show_gap(self, desk: Desk) -> None:
        """The tightest place of the whole stroke, with its name while the gear is about there."""
        gap = desk.shown.gap
        self.gap.set_visible(gap is not None)
        if gap is None:
            return
        a, b, driven = gap
        self.gap.set_data([a.real, b.real], [a.imag, b.imag])
        near = abs(driven - desk.driven) < NEAR * desk.shown.driven_up
        left = a.real > np.mean(self.ax.get_xlim())
        side = "right" if left else "left"
        self.gap_name.set("  tightest gap of the stroke  " if near else "", self.gap_colour, (b.real, b.imag), side)

    def _show_before(self, desk: Desk) -> None:
        """Where the links were when the pin was taken."""
        self.before.set_visible(desk.grip is not None)
        if desk.grip is None or desk.grip is self._taken:
            return
        self._taken = desk.grip
        gear = desk.grip.draft.gear
        links = _skeleton(gear.pins, posed(gear, np.array([desk.grip.driven])))
        self.before.set_data(links.real, links.imag)

    def _shade(self, grey: bool) -> None:
        """Grey while the pin in hand is where the gear cannot be built: then the last good gear is shown."""
        self._grey = grey
        for patch, name in zip(self.parts, self._drawn_as, strict=True):
            patch.set_alpha(0.3 if grey else 0.72)
            patch.set_label(name)
        for line in (self.links, self.pins, self.fixed):
            line.set_alpha(0.45 if grey else 1.0)


def _skeleton(pins: Any, at: Posed) -> Any:
    """Lines from pin to pin, broken by NaN."""
    chains = [
        ("upper pin", "knee", "lug"),
        ("trunnion", "lug"),
        ("trunnion", "axle"),
        ("lock root", "lock knee", "lock pin"),
    ]
    if "knee" not in pins:
        chains[0] = ("upper pin", "lug")
    chains += [(name, f"{name[:-5]} pin") for name in pins if name.endswith(" root") and f"{name[:-5]} pin" in pins]
    chains += [("crank pivot", "crank rod pin", "crank rod end"), ("crank pivot", "actuator pin")]
    points: list[complex] = []
    for chain in chains:
        if all(name in pins for name in chain):
            points += [*(complex(at.pin(pins[name])[0]) for name in chain), complex(np.nan, np.nan)]
    return np.array(points)


def _role(part: GearPart, springs: tuple[str, ...]) -> Role:
    bodies = {p.body for p in part.core}
    if any(b.startswith("actuator") for b in bodies):
        return Role.ACTUATOR
    return Role.SPRING if any(b.startswith(s) for b in bodies for s in springs) else Role.OUTLINE


def _patch(ax: Axes, stroke: str, width: float, fill: str | None, order: float) -> PathPatch:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as MplPath

    patch = PathPatch(MplPath(np.zeros((1, 2))), edgecolor=stroke, linewidth=width, zorder=order)
    patch.set(facecolor=fill or "none", joinstyle="round")
    ax.add_patch(patch)
    return patch


def _foot() -> Any:
    """The sign of a pin on the airframe: a foot below the ring."""
    from matplotlib.path import Path as MplPath

    return MplPath(np.array([[0.0, 0.0], [-0.62, -1.0], [0.62, -1.0], [0.0, 0.0]]), closed=True)
