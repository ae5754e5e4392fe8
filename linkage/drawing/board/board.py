"""The board on a canvas of matplotlib: what stays is drawn once a window size, what moves over it for every picture."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.document.study import Study
from linkage.drafting.desk import Desk
from linkage.drawing.axes import house
from linkage.drawing.board.charts import Force, Knee, Share
from linkage.drawing.board.keys import HELP, WHEEL, press
from linkage.drawing.board.layout import lay_out
from linkage.drawing.board.lists import Findings, Gaps, Help, Ruler, Strips
from linkage.drawing.board.naming import GAPS
from linkage.drawing.board.side import Side
from linkage.drawing.palette import LIGHT, Theme
from linkage.obstacles import Obstacle

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

TICK, BUSY_TICK = 30, 1
"""ms between two looks at the clock, at rest and while something moves. A picture is drawn at such a look and not at
each event, so that a mouse faster than the pictures is not followed through every place it was at."""

Bay = Callable[[Study], tuple[Obstacle, ...]]
"""Bay items of a study, read where they are files."""

LEAST = (800, 500)
"""Pixels of width and height below which its areas have no room."""

SLIP = 3.0
"""Pixels that the mouse must go with a pin for this to be no mere click."""

LEAST_SHIFT = 1.0
"""Pixels that the window must change for everything to be laid out anew."""


class Board:
    """Joins a desk to the events of a canvas. ``figure`` has its canvas, which must be an Agg one."""

    def __init__(self, figure: Figure, desk: Desk, bay: Bay, theme: Theme = LIGHT) -> None:
        self.figure, self.desk, self.bay, self.theme = figure, desk, bay, theme
        canvas: Any = figure.canvas
        self.canvas = canvas
        self.pictures = 0
        self.ready: Callable[[], bool] = lambda: True
        """Whether the canvas can take another picture."""
        self.put: Callable[[], object] = canvas.blit
        """Hands over a picture that has been drawn."""
        self.named: Callable[[str], object] = lambda name: None
        """Told the name of the file that is edited, when it is another."""
        self.closing: Callable[[], object] = lambda: None
        """What to do when the user ends."""
        self._stale, self._scrubbing = True, False
        self._wish: tuple[float, float] | None = None
        self._mouse: tuple[float, float] | None = None
        """Where the mouse was last, with a pin in hand."""
        self._pressed_at: tuple[float, float] | None = None
        """Where it took the pin, while it has not moved from there."""
        self._beside = 0j
        """From there to the pin, mm: it follows the mouse without a jump."""
        self._background: Any = None
        self._size, self._name = (0.0, 0.0), ""
        self._read()
        figure.set_facecolor(theme.paper)
        self._build()
        acts: tuple[tuple[str, Callable[[Any], None]], ...] = (
            ("draw_event", self._drawn),
            ("resize_event", self._resized),
            ("button_press_event", self._pressed),
            ("button_release_event", self._released),
            ("scroll_event", self._scrolled),
            ("key_press_event", self._key),
        )
        for name, act in acts:
            canvas.mpl_connect(name, act)
        self.canvas.callbacks.exception_handler = self.fault
        self.timer = self.canvas.new_timer(interval=TICK)
        self.timer.add_callback(self.tick)

    def start(self) -> None:
        """Begin to look at the clock."""
        self.timer.start()

    def _read(self) -> None:
        """The bay of the file that the draft began with."""
        self._origin = self.desk.draft.origin
        self._items = self.bay(self.desk.draft.study)

    @house()
    def _build(self) -> None:
        """Lay everything out for the size of the window and draw what stays."""
        self.figure.clear()
        width, height = (float(v) for v in self.figure.get_size_inches())
        self._size = (width, height)
        self.plan = plan = lay_out(width, height, sum(f.code in GAPS for f in self.desk.findings))
        add = self.figure.add_axes
        self.side = Side(add(plan.side, label="side view"), self.desk, self._items, self.theme)
        self.ruler = Ruler(add(plan.stroke, label="stroke"), self.desk, self.theme)
        self.share = Share(add(plan.share, label="share"), self.desk, self.theme)
        self.force = Force(add(plan.force, label="force"), self.desk, self.theme)
        self.knee = Knee(add(plan.knee, label="knee"), self.desk, self.theme)
        self.gaps = Gaps(add(plan.gaps, label="gaps"), self.theme, plan.gap_rows)
        self.findings = Findings(add(plan.findings, label="findings"), self.theme, plan.finding_rows)
        head = add((plan.foot[0], 1 - 0.36 / plan.height, plan.foot[2], 0.36 / plan.height), label="head")
        self.strips = Strips(add(plan.foot, label="foot"), head, self.theme)
        self.help = Help(self.figure, self.theme)
        self._update()
        for artist in self.artists:
            artist.set_animated(True)

    @property
    def areas(self) -> list[Any]:
        return [self.side, self.ruler, self.share, self.force, self.knee, self.gaps, self.findings, self.strips]

    @property
    def artists(self) -> list[Artist]:
        return [a for area in self.areas for a in area.artists] + self.help.artists

    # --- pictures -----------------------------------------------------------------------------------------------------

    def _update(self) -> None:
        for area in self.areas:
            area.show(self.desk)

    def _drawn(self, event: Any) -> None:
        """What stays has just been drawn: keep it, and draw what moves over it."""
        self._background = self._pixels().copy()
        self._draw_moving()

    def _pixels(self) -> Any:
        """What the canvas holds, to be read and written."""
        return np.asarray(self.canvas.get_renderer().buffer_rgba())

    def _draw_moving(self) -> None:
        renderer = self.canvas.get_renderer()
        for artist in self.artists:
            if artist.get_visible():
                artist.draw(renderer)

    def refresh(self) -> None:
        """One picture."""
        self._stale = False
        self._update()
        if self._background is None:
            with house():
                self.canvas.draw()
        else:
            self._pixels()[...] = self._background
            self._draw_moving()
            self.put()
        self.pictures += 1

    def show_again(self) -> None:
        """The picture as it is, for a canvas that has lost it."""
        if self._background is None:
            self.refresh()
        else:
            self.canvas.blit()

    def touch(self) -> None:
        """Something may have changed."""
        self._stale = True
        self.tick()

    def fault(self, fault: BaseException) -> None:
        """A fault of the program itself is told on the board; the study is still there to be saved."""
        self.desk.trouble = f"fault of this program, please report it: {type(fault).__name__}: {fault}"
        self._stale = True

    def tick(self) -> None:
        """Look at the clock: pull the pin to where the mouse is by now, solve exactly at rest, show what changed."""
        try:
            self._tick(time.monotonic())
        except Exception as fault:  # a window must not die with unsaved work in it
            self.fault(fault)

    def _tick(self, now: float) -> None:
        moving = self.desk.grip is not None or self._scrubbing or self.desk.playing
        wanted = BUSY_TICK if moving else TICK
        if self.timer.interval != wanted:
            self.timer.interval = wanted
        if self.desk.tick(now):
            self._stale = True
        if self._wish is not None and self.ready() and self.desk.free:
            wish, self._wish = self._wish, None
            if self._scrubbing:
                self._scrub(*wish)
            else:
                shown, trouble = self.desk.shown, self.desk.trouble
                self.desk.pull(self._place(*wish), now)  # the next place is judged while this picture is drawn
                told = trouble or self.desk.trouble
                self._stale = self._stale or self.desk.shown is not shown or bool(told)
        if self.desk.ended:
            self.timer.stop()
            self.closing()
            return
        if self.desk.draft.origin is not self._origin:  # read again: other bay, limits, perhaps brace
            self._read()
            self._anew()
        if self.desk.draft.path.name != self._name:
            self._name = self.desk.draft.path.name
            self.named(self._name)
        if self._stale and self.ready():
            if self.desk.grip is None and not (self.force.fits(self.desk) and self.knee.fits(self.desk)):
                self.force.scale(self.desk)
                self.knee.scale(self.desk)
                self._background = None
            self.refresh()

    # --- events -------------------------------------------------------------------------------------------------------

    def _resized(self, event: Any) -> None:
        width, height = (float(v) for v in self.figure.get_size_inches())
        if max(abs(width - self._size[0]), abs(height - self._size[1])) * self.figure.dpi >= LEAST_SHIFT:
            self._anew()

    def _anew(self) -> None:
        self._background = None
        self._build()
        self._stale = True

    def _pressed(self, event: Any) -> None:
        if event.button != 1:
            return
        if self.desk.grip is not None:  # let go where nobody could see it
            self.let_go()
        self._wish = None
        if self.help.shown:
            self.help.toggle(False)
            self._stale = True
            return
        if self._over_ruler(event):
            self._scrubbing = True
            self._scrub(event.x, event.y)
            self.touch()
            return
        index = self.side.nearest(event.x, event.y) if event.inaxes is self.side.ax else None
        if index is not None:
            self.desk.other_act("")
            self.desk.grab(index)
            self._pressed_at, self._beside = (event.x, event.y), 0j
            self._beside = self.desk.seen(self.desk.handle) - self._place(event.x, event.y)
            self.touch()

    def pointed(self, x: float, y: float) -> None:
        """The mouse has moved to a place of the window, pixels from its lower left corner. The windows call this by
        themselves: matplotlib looks for the axes under every place, which a picture has no time for."""
        if self.desk.grip is not None and self._pressed_at is not None:
            if max(abs(x - self._pressed_at[0]), abs(y - self._pressed_at[1])) < SLIP:
                return
            self._pressed_at = None
        if self._scrubbing or self.desk.grip is not None:
            self._wish = self._mouse = x, y

    def _released(self, event: Any) -> None:
        if event.button == 1:
            self.let_go()

    def let_go(self) -> None:
        """The mouse holds nothing any more."""
        self._pressed_at = None
        wish, self._wish, self._mouse = self._wish, None, None
        if self._scrubbing and wish is not None:
            self._scrub(*wish)
        self._scrubbing = False
        if self.desk.grip is not None:
            now = time.monotonic()
            if wish is not None:
                self.desk.pull(self._place(*wish), now, last=True)
            self.desk.drop(now)
            self._stale = True

    def _scrolled(self, event: Any) -> None:
        self.desk.scrub(self.desk.place + WHEEL * event.step)
        self._stale = True

    def _key(self, event: Any) -> None:
        if self.help.shown:
            self.help.toggle(False)
        elif event.key in HELP:
            self.help.toggle(True)
        elif not press(self.desk, event.key, time.monotonic()):
            return
        if self.desk.grip is not None:
            self._wish = self._mouse  # what is kept and to what it snaps may be another by now
        self.touch()

    def _place(self, x: float, y: float) -> complex:
        fs, wl = self.side.ax.transData.inverted().transform((x, y))
        return complex(fs, wl) + self._beside

    def _over_ruler(self, event: Any) -> bool:
        box = self.ruler.ax.bbox
        return bool(box.x0 <= event.x <= box.x1 and box.y0 - 4 <= event.y <= box.y1 + 4)

    def _scrub(self, x: float, y: float) -> None:
        part, _ = self.ruler.ax.transData.inverted().transform((x, y))
        self.desk.scrub(self.ruler.place(self.desk, float(part)))
        self._stale = True
