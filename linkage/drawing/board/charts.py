"""The small charts of the board: actuator force over the stroke, the knee near its lock, the load share in its band."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.checks.finding import number
from linkage.drafting.desk import Desk, degrees
from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.board.letters import Letters
from linkage.drawing.board.posing import posed
from linkage.drawing.board.strokes import Pen, Strokes
from linkage.drawing.palette import BLUE, Theme
from linkage.drawing.scene import Role
from linkage.stroke import offset_of

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

KNEE_POSES = 25
SMALL = TEXT_SIZE - 1
ROOM = 1.25
"""By which a chart is higher than what it has to show."""


class Chart:
    """A curve with a mark where the gear is shown, and the value there in the head."""

    def __init__(self, ax: Axes, theme: Theme, x: str) -> None:
        self.ax, self.theme = ax, theme
        dress(ax, theme, x="")
        ax.tick_params(labelsize=SMALL - 1, length=2, pad=2)
        ax.locator_params(nbins=5)
        ax.set_xlabel(x, labelpad=1, **lettering(theme, size=SMALL))
        ax.axhline(0.0, color=theme.muted, linewidth=0.8, zorder=2)
        self.limit = theme.style(Role.WORST).stroke
        self.pen = Pen(BLUE if theme.name == "light" else theme.style(Role.UP).stroke, 1.6)
        self.dot = Pen(theme.ink, 1.0, fill=theme.ink, mark="o", size=6)
        self.strokes = Strokes(ax)
        self.head = Letters((0.0, 1.1), ax.transAxes, theme, bold=True)

    @property
    def artists(self) -> list[Artist]:
        return [self.strokes, self.head]

    def bound(self, value: float) -> None:
        """A limit of the study as a dashed line."""
        self.ax.axhline(value, color=self.limit, linewidth=1.0, linestyle=(0, (6, 2)), zorder=3)

    def set(self, x: Any, y: Any, here: complex, head: str) -> None:
        """The curve, the mark at x + 1j*y on it, and the head."""
        self.strokes.set((np.asarray(x) + 1j * np.asarray(y), self.pen), (here, self.dot))
        self.head.set(head)


class Force(Chart):
    """Push of the actuator over the leg swing."""

    def __init__(self, ax: Axes, desk: Desk, theme: Theme) -> None:
        super().__init__(ax, theme, "leg swing, deg")
        shown = desk.shown
        swing = np.degrees(shown.swing)
        ax.set_xlim(min(float(swing.min()), 0.0) - 2, float(swing.max()) + 2)
        if shown.force_limit is not None:
            self.bound(shown.force_limit)
            self.bound(-shown.force_limit)
        self.scale(desk)

    def fits(self, desk: Desk) -> bool:
        """Whether the curve is to be read at the present scale."""
        low, high = self.ax.get_ylim()
        least, most = _range(desk.shown.force)
        return low <= least and most <= high and (most - least) * 4 > (high - low) / ROOM

    def scale(self, desk: Desk) -> None:
        least, most = _range(desk.shown.force)
        middle, half = (least + most) / 2, max((most - least) / 2, 1.0) * ROOM
        self.ax.set_ylim(middle - half, middle + half)

    def show(self, desk: Desk) -> None:
        shown = desk.shown
        here = float(np.interp(desk.driven, shown.driven, shown.force))
        place = degrees(desk)
        head = f"push at {shown.load_factor:g} g: " + (f"{here:.0f} N" if math.isfinite(here) else "none here")
        self.set(np.degrees(shown.swing), shown.force, complex(place, here), head)


class Knee(Chart):
    """How far the knee that locks is past its line, near the lock."""

    def __init__(self, ax: Axes, desk: Desk, theme: Theme) -> None:
        self.has = desk.shown.gear.locking is not None
        super().__init__(ax, theme, f"{desk.shown.gear.driven}, deg from lock" if self.has else "")
        ax.set_visible(self.has)
        limits = desk.shown.study.limits.over_centre
        for bound in (limits.min, limits.max):
            if bound is not None and self.has:
                self.bound(bound)
        self.span = 0.0
        if self.has:
            self.scale(desk)

    def fits(self, desk: Desk) -> bool:
        if not self.has:
            return True
        high = self.ax.get_ylim()[1]
        grown = self._top(desk) / high
        return 0.5 < self._wanted(desk) / self.span < 2.0 and self._offset(desk) < high and 0.5 < grown < 2.0

    def _offset(self, desk: Desk) -> float:
        pair = desk.shown.gear.locking
        return abs(pair.shape.over_centre) if pair is not None else 0.0

    def _top(self, desk: Desk) -> float:
        """Height of the chart, mm."""
        return 1.5 * max(self._offset(desk), desk.shown.study.limits.over_centre.max or 0.0, 1.0)

    def _wanted(self, desk: Desk) -> float:
        """Rotation over which the chart runs: twice as far as to dead centre."""
        pair = desk.shown.gear.locking
        assert pair is not None
        return min(4.0 * max(self._offset(desk) / pair.shape.upper_link, 0.01), desk.shown.driven_up)

    def scale(self, desk: Desk) -> None:
        if self.has:
            self.span = self._wanted(desk)
            self.ax.set_xlim(-0.04 * math.degrees(self.span), math.degrees(self.span))
            top = self._top(desk)
            self.ax.set_ylim(-0.8 * top, top)

    def show(self, desk: Desk) -> None:
        gear, pair = desk.shown.gear, desk.shown.gear.locking
        if pair is None:
            self.set([], [], complex(math.nan, math.nan), "this brace has no knee")
            return
        driven = np.append(np.linspace(0.0, self.span, KNEE_POSES), desk.driven)
        at = posed(gear, driven)
        offset = offset_of(pair, {name: at.pin(gear.pins[name]) for name in (pair.near, pair.knee, pair.far)})
        here = float(offset[-1])
        head = f"over centre {number(here)} mm" if here >= 0 else f"folded {number(-here)} mm"
        self.set(np.degrees(driven[:-1]), offset[:-1], complex(math.degrees(desk.driven), here), head)


class Share:
    """Nose share over every loading: a bar from least to greatest, against the wanted band."""

    def __init__(self, ax: Axes, desk: Desk, theme: Theme) -> None:
        self.theme = theme
        low, high = (100 * v for v in desk.shown.band)
        room = max(0.8 * (high - low), 2.0)
        dress(ax, theme, grid=False)
        ax.set(xlim=(low - room, high + room), ylim=(0, 1), yticks=[])
        ax.tick_params(labelsize=SMALL - 1, length=2, pad=2)
        ax.axvspan(low, high, color=theme.faint, zorder=1)
        for value in (low, high):
            ax.axvline(value, color=theme.ink, linewidth=1.4, zorder=3)
        self.bar = Strokes(ax)
        self.head = Letters((0.0, 1.55), ax.transAxes, theme, bold=True)

    @property
    def artists(self) -> list[Artist]:
        return [self.bar, self.head]

    def show(self, desk: Desk) -> None:
        least, most = (100 * v for v in desk.shown.share)
        low, high = (100 * v for v in desk.shown.band)
        good = low <= least and most <= high
        colour = BLUE if good else self.theme.style(Role.WORST).stroke
        self.bar.set(([least + 0.5j, most + 0.5j], Pen(colour, 7)))
        word = "within" if good else "OUTSIDE"
        self.head.set(f"nose share {number(least)} to {number(most)} %, {word} {low:g} to {high:g} %")


def _range(values: Any) -> tuple[float, float]:
    known = values[np.isfinite(values)]
    return (min(float(known.min()), 0.0), max(float(known.max()), 0.0)) if len(known) else (0.0, 1.0)
