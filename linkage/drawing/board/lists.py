"""The lists of the board and its strips at head and foot: gaps as bars, findings, what broke, how the board is set."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.checks import Finding
from linkage.checks.finding import signed
from linkage.drafting.desk import Desk, degrees
from linkage.drawing.axes import MM, TEXT_SIZE, lettering
from linkage.drawing.board.keys import told as told_keys
from linkage.drawing.board.letters import Letters, Line, Sheet, cut, folded, length
from linkage.drawing.board.naming import GAPS, names, of_state, result, told
from linkage.drawing.board.strokes import Pen, Strokes
from linkage.drawing.palette import BLUE, Theme
from linkage.drawing.scene import Role
from linkage.drawing.text import plain as harmless

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

SHORT, GOOD, GONE, CAME = "\u25bc", "\u25cf", "\u25bc", "\u25b2"
"""Signs beside the words, so that nothing is told by colour alone: short, good, broke, mended."""

BAR = 60.0
"""mm of margin at which a bar of the list of gaps ends."""

NAME = 80
"""Letters of a name at most; the list cuts what has no room."""

WORD = 0.78
"""Width of the column that says good or short, inches."""

LONG = 600
"""Letters of a strip at most; it cuts what has no room."""

SURE = 2.3
"""Inches of the head for the word that says how sure the numbers are."""

LINES = (0.84, 0.60, 0.38, 0.14)
"""Heights of the lines at the foot: what broke, a message in two lines, how the board is set."""

ZERO, ROOM = 0.62, 0.24
"""Where a bar begins, and how long the longest is, as parts of the width."""


@lru_cache(4096)
def plain(text: str, limit: int) -> str:
    """User text as one harmless line, remembered: the same names come with every picture."""
    return harmless(text, limit)


class Gaps:
    """Margins of the tightest gaps, least first, as bars from 0."""

    def __init__(self, ax: Axes, theme: Theme, rows: int) -> None:
        ax.axis("off")
        self.sheet = Sheet(ax, theme, rows, ((0.0, "left"), (1.0, "right")))
        self.short = theme.style(Role.WORST)
        self.good = BLUE if theme.name == "light" else theme.style(Role.UP).stroke

    @property
    def artists(self) -> list[Artist]:
        return [self.sheet]

    def show(self, desk: Desk) -> None:
        found = sorted((f for f in desk.findings if f.code in GAPS), key=lambda f: f.margin)
        more = len(found) - self.sheet.rows
        rest = f", {more} more" if more > 0 else ""
        self.sheet.head = f"margins of gaps, nominal state, mm{rest}" if found else "no bay items given"
        self.sheet.lines = [self._line(f) for f in found[: self.sheet.rows]]
        self.sheet.lines += [Line()] * (self.sheet.rows - len(self.sheet.lines))

    def _line(self, f: Finding) -> Line:
        end = ZERO + ROOM * min(max(f.margin / BAR, -0.25), 1.0)
        name = plain(f.subject, NAME)
        if f.passed:
            return Line((name, signed(f.margin)), "", (ZERO, end, self.good))
        return Line((name, f"{SHORT} SHORT {signed(f.margin)}"), self.short.text, (ZERO, end, self.short.stroke))


class Findings:
    """What is judged beside the gaps, worst first; a gap only where it falls short."""

    def __init__(self, ax: Axes, theme: Theme, rows: int) -> None:
        ax.axis("off")
        figure = ax.get_figure(root=True)
        second = WORD / float(ax.get_position().width * (figure.get_figwidth() if figure is not None else 1.0))
        self.sheet = Sheet(ax, theme, rows, ((0.0, "left"), (second, "left"), (1.0, "right")))
        self.short = theme.style(Role.WORST)

    @property
    def artists(self) -> list[Artist]:
        return [self.sheet]

    def show(self, desk: Desk) -> None:
        state = desk.states[desk.state]
        shown = [f for f in desk.findings if f.code not in GAPS or not f.passed]
        if desk.state:  # findings of the state that is shown come first
            shown.sort(key=lambda f: (f.passed, not of_state(f, state)))
        short = sum(not f.passed for f in desk.findings)
        more = len(shown) - self.sheet.rows
        rest = f", {more} more" if more > 0 else ""
        self.sheet.head = f"{short or 'none'} of {len(desk.findings)} findings short, worst first{rest}"
        name = names(desk.findings)
        self.sheet.lines = [self._line(f, plain(name(f), NAME)) for f in shown[: self.sheet.rows]]
        self.sheet.lines += [Line()] * (self.sheet.rows - len(self.sheet.lines))

    def _line(self, f: Finding, name: str) -> Line:
        word = f"{GOOD} good" if f.passed else f"{SHORT} SHORT"
        return Line((word, name, result(f)), "" if f.passed else self.short.text)


class Strips:
    """Head: what is edited and how sure the numbers are. Foot: what broke, and how the board is set."""

    def __init__(self, ax: Axes, head: Axes, theme: Theme) -> None:
        self.theme, self.short = theme, theme.style(Role.WORST)
        for area in (ax, head):
            area.set(xlim=(0, 1), ylim=(0, 1))
            area.axis("off")
        figure: Any = ax.figure
        self.width, self.dpi = float(ax.get_position().width * figure.get_figwidth()), float(figure.dpi)
        self.title = Letters((0.0, 0.45), head.transAxes, theme, size=TEXT_SIZE + 2, bold=True)
        self.sure = Letters((1.0, 0.45), head.transAxes, theme, side="right", size=TEXT_SIZE + 1, bold=True)
        self.broke, self.message, self.more, self.set = (
            Letters((0.0, y), ax.transAxes, theme, bold=y == LINES[0], room=self.width) for y in LINES
        )
        ax.axhline(0.96, color=theme.muted, linewidth=0.25 * MM)

    @property
    def artists(self) -> list[Artist]:
        return [self.title, self.sure, self.broke, self.message, self.more, self.set]

    def show(self, desk: Desk) -> None:
        draft, shown = desk.draft, desk.shown
        self._title(plain(shown.study.title, LONG), plain(draft.path.name, NAME), desk.changed)
        self.sure.set(_sure(desk))
        self.broke.set(plain(_broke(desk), LONG), self.short.text if desk.broke.broke else self.theme.ink)
        size, room = TEXT_SIZE * self.dpi / 72.0, int(self.width * self.dpi)
        first, second = folded(plain(desk.message, LONG), size, False, room)
        self.message.set(first)
        self.more.set(second)
        at = f"{round(degrees(desk), 1) + 0.0:.1f} deg of {math.degrees(shown.gear.swing_up):g}"
        past, ahead = draft.here, len(draft.states) - 1 - draft.here
        self.set.set(
            plain(
                f"? all keys | n {desk.handle.name} | m {desk.keep.value} | g {desk.snap.value} | , . swing {at}"
                f" | w save | u undo {past} | r redo {ahead} | s state: {desk.states[desk.state]}{_only(desk)}",
                LONG,
            )
        )

    def _title(self, title: str, file: str, changed: bool) -> None:
        """The study's title as far as there is room for it beside its file."""
        size, room = self.title.size * self.dpi / 72.0, int((self.width - SURE) * self.dpi)
        end = f"   [{file}, {'* not saved' if changed else 'saved'}]"
        self.title.set(cut(title, size, True, room - length(end, size, True)) + end)


def _sure(desk: Desk) -> str:
    """How sure the numbers are."""
    if desk.settled:
        return "\u2713 EXACT"
    more = ", exact follows" if desk.busy else ", no exact one" if desk.exact is not None else ""
    return f"\u2248 QUICK{more}"


def _broke(desk: Desk) -> str:
    name = names(desk.findings)
    turned = ((f"{GONE} BROKE", desk.broke.broke), (f"{CAME} mended", desk.broke.mended))
    said = [
        f"{word}{f' {len(found)}' if len(found) > 1 else ''}: " + "; ".join(told(f, name(f)) for f in found)
        for word, found in turned
        if found
    ]
    if not said and desk.grip is None and not desk.draft.here:
        return "nothing changed"
    return "   ".join(said) or f"{GOOD} the last change broke nothing"


def _only(desk: Desk) -> str:
    """Why the gear does not move in a state."""
    return "" if desk.held == "moving" else f" (gear {desk.held})"


class Ruler:
    """The stroke below the side view: a line from down to up with the place of the gear on it."""

    def __init__(self, ax: Axes, desk: Desk, theme: Theme) -> None:
        self.ax = ax
        top = math.degrees(desk.shown.gear.swing_up)
        ax.set(xlim=(-0.02, 1.02), ylim=(0, 1))
        ax.set_facecolor(theme.paper)
        for spine in ax.spines.values():
            spine.set_visible(False)
        ticks = np.arange(0.0, top + 1e-9, 15.0)
        ax.set(yticks=[], xticks=ticks / top)
        ax.set_xticklabels([f"{t:g}" for t in ticks], **{**lettering(theme, size=TEXT_SIZE - 1)})
        ax.set_xlabel("leg swing, deg (0 locked down)", labelpad=1, **lettering(theme, size=TEXT_SIZE - 1))
        ax.tick_params(length=3, colors=theme.muted, labelcolor=theme.ink, pad=1)
        ax.plot([0, 1], [0.5, 0.5], color=theme.muted, linewidth=3, solid_capstyle="round", zorder=2)
        self.done = Pen(theme.ink, 3)
        self.mark = Pen(theme.ink, 1.8, fill=theme.paper, mark="d", size=11)
        self.strokes = Strokes(ax)

    @property
    def artists(self) -> list[Artist]:
        return [self.strokes]

    def show(self, desk: Desk) -> None:
        place = min(max(degrees(desk) / math.degrees(desk.shown.gear.swing_up), 0.0), 1.0)
        self.strokes.set(([0.5j, place + 0.5j], self.done), (place + 0.5j, self.mark))

    def place(self, desk: Desk, x: float) -> float:
        """Part of the stroke at a place of the line. The lock and its over-swing lie within its lower end."""
        swing = np.maximum.accumulate(desk.shown.swing) / desk.shown.gear.swing_up
        return float(np.interp(x, swing, np.linspace(0.0, 1.0, len(swing)))) if x > 0 else 0.0


class Help:
    """The list of keys over the side view, when it is asked for."""

    def __init__(self, figure: Any, theme: Theme) -> None:
        lines = [f"{keys:<14}{meaning}" for keys, meaning in told_keys()]
        body = "\n".join(
            [
                "Drag a ring with the mouse, or move the chosen pin with the arrow keys.",
                "",
                *lines,
                "",
                "any key closes",
            ]
        )
        look = {**lettering(theme, size=TEXT_SIZE), "family": ["DejaVu Sans Mono"]}
        self.text = figure.text(0.5, 0.5, body, ha="center", va="center", zorder=50, linespacing=1.5, **look)
        self.text.set_multialignment("left")
        self.text.set_bbox({"facecolor": theme.paper, "edgecolor": theme.ink, "pad": 14.0, "linewidth": 1.2})
        self.text.set_visible(False)

    @property
    def artists(self) -> list[Artist]:
        return [self.text]

    @property
    def shown(self) -> bool:
        return bool(self.text.get_visible())

    def toggle(self, shown: bool) -> None:
        self.text.set_visible(shown)
