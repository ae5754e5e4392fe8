"""The lists of the board and its strips at head and foot: gaps as bars, findings, what broke, how the board is set."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.checks import Finding
from linkage.drafting.desk import Desk, degrees
from linkage.drawing.axes import MM, TEXT_SIZE, lettering
from linkage.drawing.board.keys import told
from linkage.drawing.board.letters import LETTER, Letters, Line, Sheet
from linkage.drawing.board.strokes import Pen, Strokes
from linkage.drawing.palette import BLUE, Theme
from linkage.drawing.scene import Role
from linkage.drawing.text import plain as harmless

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

GAPS = ("gap", "self-gap")
SHORT, GOOD, GONE, CAME = "\u25bc", "\u25cf", "\u25bc", "\u25b2"
"""Signs beside the words, so that nothing is told by colour alone: short, good, broke, mended."""

BAR = 60.0
"""mm of margin at which a bar of the list of gaps ends."""

NAME = 80
"""Letters of a name at most; the list cuts what has no room."""

WORD = 0.78
"""Width of the column that says good or short, inches."""

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
        self.sheet.head = f"margins to the required gaps, mm{rest}" if found else "no bay items given"
        self.sheet.lines = [self._line(f) for f in found[: self.sheet.rows]]
        self.sheet.lines += [Line()] * (self.sheet.rows - len(self.sheet.lines))

    def _line(self, f: Finding) -> Line:
        end = ZERO + ROOM * min(max(f.margin / BAR, -0.25), 1.0)
        name = plain(f.subject, NAME)
        if f.passed:
            return Line((name, f"{f.margin:.1f}"), "", (ZERO, end, self.good))
        return Line((name, f"{SHORT} SHORT {f.margin:.1f}"), self.short.text, (ZERO, end, self.short.stroke))


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
            shown.sort(key=lambda f: (f.passed, f.state != state))
        short = sum(not f.passed for f in desk.findings)
        more = len(shown) - self.sheet.rows
        rest = f", {more} more" if more > 0 else ""
        self.sheet.head = f"{short or 'none'} of {len(desk.findings)} findings short, worst first{rest}"
        self.sheet.lines = [self._line(f) for f in shown[: self.sheet.rows]]
        self.sheet.lines += [Line()] * (self.sheet.rows - len(self.sheet.lines))

    def _line(self, f: Finding) -> Line:
        result = f"{number(f.actual)} {f.required} {f.unit}".rstrip()
        name = plain(f.subject, NAME)
        word = f"{GOOD} good" if f.passed else f"{SHORT} SHORT"
        return Line((word, name, result), "" if f.passed else self.short.text)


def number(value: float) -> str:
    size = abs(value)
    return f"{value:.0f}" if size >= 1000 else f"{value:.1f}" if size >= 10 else f"{value:.2f}"


class Strips:
    """Head: what is edited and how sure the numbers are. Foot: what broke, and how the board is set."""

    def __init__(self, ax: Axes, head: Axes, theme: Theme) -> None:
        self.theme, self.short = theme, theme.style(Role.WORST)
        for area in (ax, head):
            area.set(xlim=(0, 1), ylim=(0, 1))
            area.axis("off")
        self.title = Letters((0.0, 0.45), head.transAxes, theme, size=TEXT_SIZE + 2, bold=True)
        self.sure = Letters((1.0, 0.45), head.transAxes, theme, side="right", size=TEXT_SIZE + 1, bold=True)
        self.broke = Letters((0.0, 0.80), ax.transAxes, theme, bold=True)
        self.message = Letters((0.0, 0.50), ax.transAxes, theme)
        self.set = Letters((0.0, 0.19), ax.transAxes, theme)
        ax.axhline(0.96, color=theme.muted, linewidth=0.25 * MM)
        self.width = float(ax.get_position().width * ax.figure.get_figwidth())  # type: ignore[union-attr]

    @property
    def artists(self) -> list[Artist]:
        return [self.title, self.sure, self.broke, self.message, self.set]

    def show(self, desk: Desk) -> None:
        letters = int(self.width * 72.0 / (LETTER * TEXT_SIZE))
        draft, shown = desk.draft, desk.shown
        mark = "* not saved" if draft.dirty or desk.grip is not None else "saved"
        self.title.set(plain(f"{shown.study.title}   [{draft.path.name}, {mark}]", int(0.72 * letters)))
        word = "\u2713 EXACT" if desk.settled else "\u2248 QUICK, exact follows" if desk.busy else "\u2248 QUICK"
        self.sure.set(word)
        self.broke.set(plain(_broke(desk), letters), self.short.text if desk.broke.broke else self.theme.ink)
        self.message.set(plain(desk.message, letters))
        at = f"{round(degrees(desk), 1) + 0.0:.1f} deg of {math.degrees(shown.gear.swing_up):g}"
        past, ahead = draft.here, len(draft.states) - 1 - draft.here
        self.set.set(
            plain(
                f"n {desk.handle.name} | m {desk.keep.value} | g {desk.snap.value} | s state: {desk.states[desk.state]}"
                f" | , . swing {at} | u undo {past} | r redo {ahead} | w save | ? all keys",
                int(1.05 * letters),
            )
        )


def _broke(desk: Desk) -> str:
    broke = [f"{GONE} BROKE: {_said(f)}" for f in desk.broke.broke]
    mended = [f"{CAME} mended: {_said(f)}" for f in desk.broke.mended]
    return "   ".join([*broke, *mended]) or f"{GOOD} the last change broke nothing"


def _said(f: Finding) -> str:
    return f"{f.subject} {number(f.actual)} {f.unit}, required {f.required}".replace("  ", " ")


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
        lines = [f"{keys:<14}{meaning}" for keys, meaning in told()]
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
