"""What a search found: the front as a chart, and the best linkages over one another in the bay."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, house, lettering, new_figure
from linkage.drawing.gear_scene import bay
from linkage.drawing.paint import paint
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, PURPLE, SKY, VERMILION, Theme, blend
from linkage.drawing.scene import Scene, Window
from linkage.drawing.text import plain, wrapped
from linkage.gear import Gear
from linkage.mechanism.model import Complexes, Floats
from linkage.obstacles import Obstacle
from linkage.search.found import Found
from linkage.search.screened import FORCE, LOCK, MARGIN, MOMENT
from linkage.stroke import Stroke

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LINKS = (("trunnion", "axle"), ("upper pin", "knee"), ("knee", "lug"), ("actuator root", "actuator pin"))
COLOURS = (BLUE, VERMILION, GREEN, PURPLE, ORANGE, SKY)
MARKS = ("o", "s", "^", "D", "v", "P")
SMALL, LARGE = 40.0, 260.0
"""Area of the marks with the least and the greatest lock quality, points^2."""

ASIDE = (11, -20, 24, -33)
"""Points above or below a mark at which its name stands, in turn from left to right."""

ROOM = 90.0
"""mm shown around the linkages."""


def sentence(found: Found) -> str:
    """The answer in one line."""
    rest = ", stopped early" if found.stopped else ""
    if not found.members:
        return f"Nothing found among {found.sampled} candidates{rest}"
    best = found.members[0]
    m = best.judged.measures
    count = f"{len(found.members)} design{'s' if len(found.members) > 1 else ''}"
    margin = f"margin {m[MARGIN]:.1f} mm, " if math.isfinite(m[MARGIN]) else "no bay items, "
    return (
        f"{count} found among {found.sampled} candidates{rest}; first: {margin}"
        f"actuator {m[FORCE]:.0f} N, lock {m[LOCK]:.2f} mm"
    )


def caption(found: Found) -> str:
    """Alternative text."""
    what = "least margin" if _height(found) == MARGIN else "lock quality"
    return f"Chart of {what} over greatest actuator force for {found.title}. {sentence(found)}."


def _height(found: Found) -> str:
    """What the height says: the margin, and where there is nothing to keep away from the lock quality."""
    return MARGIN if all(math.isfinite(m.judged.measures[MARGIN]) for m in found.members) else LOCK


@house()
def front_figure(found: Found, theme: Theme = LIGHT) -> Figure:
    """The front with its title."""
    figure = new_figure(1100, 760, theme=theme)
    front_chart(found, figure.add_axes((0.075, 0.135, 0.9, 0.77)), theme)
    note = (
        "Each mark a found design, judged by the full solver. Area: lock quality, mm (beside the name); dark: little,"
        " light: much mass moment. Diamond: the present design. Better is up and to the left."
    )
    figure.text(0.02, 0.015, wrapped(note, 150, 2), va="bottom", **lettering(theme, colour=theme.muted))
    return figure


def front_chart(found: Found, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Margin against force; size by lock quality, shade by mass moment. Without a bay lock quality against force."""
    high = _height(found)
    name = "least margin to the bay, mm" if high == MARGIN else "lock quality, mm"
    dress(ax, theme, x="greatest actuator force, N", y=name, title=sentence(found))
    rows = [m.judged.measures for m in found.members]
    own = found.present.measures
    asides = _asides(np.array([[_part(m[k], [r[k] for r in rows]) for k in (FORCE, high)] for m in rows]))
    for member, m, up in zip(found.members, rows, asides, strict=True):
        area = SMALL + (LARGE - SMALL) * _part(m[LOCK], [r[LOCK] for r in rows])
        shade = blend(BLUE, theme.paper, 0.15 + 0.6 * _part(m[MOMENT], [r[MOMENT] for r in rows]))
        ax.scatter([m[FORCE]], [m[high]], s=area, color=shade, edgecolor=theme.ink, linewidth=0.8, zorder=5)
        text = f"{member.name.removeprefix('found-')}: {m[LOCK]:.2f}"
        leader = {"arrowstyle": "-", "color": theme.muted, "linewidth": 0.7, "shrinkA": 0.0, "shrinkB": 0.0}
        ax.annotate(
            text,
            (m[FORCE], m[high]),
            (4, up),
            textcoords="offset points",
            arrowprops=leader,
            zorder=4,
            **lettering(theme),
        )
    if own:
        ax.plot([own[FORCE]], [own[high]], "D", color=theme.ink, mec=theme.paper, markersize=10, zorder=7)
        ax.annotate(
            f"present: {own[LOCK]:.2f}",
            (own[FORCE], own[high]),
            (10, -14),
            textcoords="offset points",
            zorder=8,
            **lettering(theme, weight="bold"),
        )
    ax.axhline(0.0, color=blend(VERMILION, theme.ink, 0.2), linewidth=1.0, zorder=3)
    ax.margins(0.12)
    return ax


def _asides(places: Floats) -> list[int]:
    """Points by which each name stands above or below its mark: away from the nearest other mark, in turn where that is
    beside it; ``places`` (marks, 2) as parts of the axes."""
    turn = places[:, 0].argsort(kind="stable").argsort(kind="stable")
    out = []
    for i, place in enumerate(places):
        others = np.delete(places, i, axis=0) - place
        rise = float(others[np.hypot(*others.T).argmin(), 1]) if len(others) else 0.0
        out.append(ASIDE[turn[i] % len(ASIDE)] if abs(rise) < 0.01 else ASIDE[0 if rise < 0 else 1])
    return out


def _part(value: float, among: Sequence[float]) -> float:
    low, high = min(among), max(among)
    return (value - low) / (high - low) if high > low else 0.5


def skeleton(gear: Gear, stroke: Stroke, up: bool) -> list[Complexes]:
    """Centre lines of the linkage, down or up, FS + 1j*WL in mm."""
    pairs = [pair for pair in LINKS if all(name in gear.pins for name in pair)]
    return [np.array([_place(gear, stroke, name, up) for name in pair]) for pair in pairs]


def _place(gear: Gear, stroke: Stroke, name: str, up: bool) -> complex:
    path = stroke.pins.get(name)
    return complex(gear.pins[name].at if path is None else path[-1 if up else 0])


@house()
def linkages_figure(
    title: str, designs: Sequence[tuple[str, Gear, Stroke]], obstacles: Sequence[Obstacle], theme: Theme = LIGHT
) -> Figure:
    """Linkages over one another."""
    figure = new_figure(1300, 900, theme=theme)
    linkages(title, designs, obstacles, figure.add_axes((0.055, 0.07, 0.93, 0.86)), theme)
    return figure


def linkages(
    title: str,
    designs: Sequence[tuple[str, Gear, Stroke]],
    obstacles: Sequence[Obstacle],
    ax: Axes,
    theme: Theme = LIGHT,
) -> Axes:
    """The present design in black, each found one in its colour with marks of its own; up in broken lines."""
    points = np.concatenate([z for _, g, s in designs for up in (False, True) for z in skeleton(g, s, up)])
    window = _window(points, ax)
    paint(Scene(tuple(bay(obstacles, window)), plain(title), plain(title), window), ax, theme)
    for place, (name, gear, stroke) in enumerate(designs):
        colour = theme.ink if place == 0 else COLOURS[(place - 1) % len(COLOURS)]
        mark = "D" if place == 0 else MARKS[(place - 1) % len(MARKS)]
        for up in (False, True):
            for line in skeleton(gear, stroke, up):
                ax.plot(
                    line.real,
                    line.imag,
                    marker=mark,
                    color=colour,
                    markersize=5,
                    linewidth=1.6,
                    linestyle=(0, (6, 3)) if up else "-",
                    zorder=20 + place,
                )
        ax.text(
            0.8,
            0.03 + 0.034 * (len(designs) - 1 - place),
            f"{mark_word(mark)} {plain(name, 60)}",
            transform=ax.transAxes,
            va="bottom",
            zorder=40,
            bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85},
            **lettering(theme, size=TEXT_SIZE + 1, weight="bold", colour=colour),
        )
    return ax


def _window(points: Complexes, ax: Axes) -> Window:
    """All points with room around them, of the shape of the axes."""
    box = ax.get_position()
    wide, high = box.width * ax.figure.get_figwidth(), box.height * ax.figure.get_figheight()  # type: ignore[union-attr]
    x, y = points.real, points.imag
    middle = complex(x.max() + x.min(), y.max() + y.min()) / 2
    half = max((np.ptp(y) / 2 + ROOM) / high, (np.ptp(x) / 2 + ROOM) / wide)
    return (
        middle.real - half * wide,
        middle.imag - half * high,
        middle.real + half * wide,
        middle.imag + half * high,
    )


def mark_word(mark: str) -> str:
    """The mark as a letter."""
    return {"o": "●", "s": "■", "^": "▲", "D": "◆", "v": "▼", "P": "✚"}[mark]


__all__ = ["caption", "front_chart", "front_figure", "linkages", "linkages_figure", "sentence", "skeleton"]
