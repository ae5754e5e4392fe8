"""Trade studies as pictures: curves over one number, contours over two; the answer is the title."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.drawing.axes import TEXT_SIZE, dress, house, lettering, new_figure
from linkage.drawing.limits import limit_line, worded
from linkage.drawing.palette import BLUE, GREEN, LIGHT, VERMILION, Theme, blend
from linkage.drawing.text import plain
from linkage.drawing.trade_notes import write_foot, write_head
from linkage.mechanism.model import Floats
from linkage.trade.answer import Answer, between, straight
from linkage.trade.model import Trade, Vary
from linkage.trade.words import named

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEVELS = 9
HEADING = 105
"""Letters in the heading of a chart."""
SIDES = ((">=", False), ("<=", True))
"""Side of a limit, and whether what is not allowed lies left of a line that runs to the right."""


def along(vary: Vary) -> str:
    """Name of an axis."""
    return f"{vary.known_as}, {vary.unit}" if vary.unit else vary.known_as


def caption(found: Answer) -> str:
    """Alternative text of any picture of a trade study."""
    trade = found.trade
    here = ", ".join(f"{v.known_as} is {v.present:g} {v.unit}".strip() for v in trade.varies if v.present is not None)
    return f"Trade study of {trade.title} over {' and '.join(along(v) for v in trade.varies)}. {found.sentence}." + (
        f" In the present design {here}." if here else ""
    )


@house()
def curves(found: Answer, results: Sequence[str], theme: Theme = LIGHT) -> Figure:
    """One number varied: a chart for each result, over one another."""
    found = found.with_present
    vary = found.trade.varies[0]
    rows = max(len(results), 1)
    figure = new_figure(1100, 150 + 240 * rows, theme=theme)
    write_head(figure, found, theme)
    high = figure.get_figheight()
    top, foot = 1 - 0.55 / high, 0.9 / high
    each = (top - foot) / rows
    for row, key in enumerate(results):
        ax = figure.add_axes((0.065, top - (row + 1) * each + 0.28 / high, 0.915, each - 0.6 / high))
        curve(found, key, ax, theme, across=along(vary) if row == rows - 1 else "")
    write_foot(figure, found, theme)
    return figure


def curve(found: Answer, key: str, ax: Axes, theme: Theme = LIGHT, across: str = "") -> Axes:
    """One result over one number, with its limits, the good range and the present design."""
    trade = found.trade
    vary = trade.varies[0]
    x, y = np.array(vary.values), trade.result(key)
    dress(ax, theme, x=across)
    ax.set_title(_heading(key), loc="left", pad=4, **lettering(theme, weight="bold"))
    ax.set_xlim(*_ends(x))
    limits = [(side, left, trade.limit(key, side)) for side, left in SIDES]
    beyond = _reach(ax, y, [limit for _, _, limit in limits])
    for low, high in _stretches(found):
        ax.axvspan(low, high, facecolor=blend(GREEN, theme.paper, 0.75), linewidth=0.0, zorder=1.5)
    _columns(ax, x, ~trade.computed, theme)
    (fine,), way = between(trade, key)
    ax.plot(fine, way, color=BLUE, linewidth=1.8, zorder=6)
    ax.plot(x, y, color=BLUE, linestyle="none", marker="o", markersize=3.2, zorder=6)
    for side, left, limit in limits:
        seen = np.isfinite(limit)
        if seen.sum() > 1 and not _outside(ax, limit[seen]):
            name = f"{side} {_figure(limit[seen])}"
            limit_line(ax, x[seen], limit[seen], name, theme, bad_left=left, at=0.12)
    if beyond:
        ax.text(
            0.99, 0.04, beyond, transform=ax.transAxes, ha="right", zorder=7, **lettering(theme, colour=theme.muted)
        )
    if vary.present is not None and x[0] <= vary.present <= x[-1]:
        ax.axvline(vary.present, color=theme.ink, linewidth=1.0, linestyle=(0, (8, 2, 1, 2)), zorder=5)
        value = trade.present.results.get(key, trade.present.margins.get(key)) if trade.present else None
        if isinstance(value, int | float):
            ax.plot([vary.present], [value], "D", color=theme.ink, markersize=7, zorder=8)
    return ax


@house()
def contours(found: Answer, key: str, theme: Theme = LIGHT) -> Figure:
    """Two numbers varied: one result as filled, labelled contours."""
    figure = new_figure(1100, 900, theme=theme)
    write_head(figure, found, theme)
    ax = figure.add_axes((0.075, 0.15, 0.905, 0.75))
    field(found, key, ax, theme)
    write_foot(figure, found, theme)
    return figure


def field(found: Answer, key: str, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Contours of one result, where the other findings fall short, and what cannot be computed."""
    from matplotlib.colors import BoundaryNorm, ListedColormap
    from matplotlib.ticker import MaxNLocator

    trade = found.trade
    across, up = trade.varies
    x, y, z = np.array(across.values), np.array(up.values), np.ma.masked_invalid(trade.result(key).T)
    (fine_x, fine_y), way = between(trade, key)
    finer = np.ma.masked_invalid(way.T)
    dress(ax, theme, x=along(across), y=along(up), grid=False)
    same = z.count() > 0 and np.ptp(z.compressed()) == 0.0
    heading = _heading(key) + (f": {z.max():.6g} everywhere" if same else "")
    ax.set_title(heading, loc="left", **lettering(theme, size=TEXT_SIZE + 1, weight="bold"))
    ax.set(xlim=(x[0], x[-1]), ylim=(y[0], y[-1]))
    if z.count():
        low, high = float(z.min()), float(z.max())
        levels = MaxNLocator(LEVELS).tick_values(low, high if high > low else low + 1.0)
        shades = [blend(BLUE, theme.paper, 0.95 - 0.65 * k / (len(levels) - 1)) for k in range(len(levels) - 1)]
        norm, shade = BoundaryNorm(levels, len(shades)), ListedColormap(shades)
        ax.pcolormesh(x, y, z, shading="nearest", cmap=shade, norm=norm, zorder=1.0)
        if not same and finer.count() > 1:
            ax.contourf(fine_x, fine_y, finer, levels=levels, cmap=shade, norm=norm, zorder=1.1)
            own = [level for level in levels if level not in _at_limit(trade, key)]
            ink = blend(BLUE, theme.ink, 0.5)
            lines = ax.contour(
                fine_x, fine_y, finer, levels=own, colors=[ink], linewidths=0.8, linestyles="solid", zorder=3
            )
            for text in ax.clabel(lines, fmt="%.6g", fontsize=TEXT_SIZE - 0.5, inline_spacing=3):
                text.set(family=["DejaVu Sans"], parse_math=False, color=blend(BLUE, theme.ink, 0.6))
    _limits(trade, key, ax, theme, (fine_x, fine_y), way)
    _areas(found, ax, theme)
    _cells(ax, x, y, ~trade.computed.T, theme)
    ax.plot(*(g.ravel() for g in np.meshgrid(x, y)), ".", color=theme.muted, markersize=2.0, zorder=4, clip_on=False)
    if across.present is not None and up.present is not None:
        ax.plot(
            [across.present], [up.present], "D", color=theme.ink, mec=theme.paper, markersize=9, zorder=9, clip_on=True
        )
        _word(ax, (across.present, up.present), "present design", theme, ("left", "bottom"), 9)
    return ax


def _heading(key: str) -> str:
    """Of one chart, in one line."""
    return plain(worded(named(key)), HEADING)


def _at_limit(trade: Trade, key: str) -> set[float]:
    """Limits of a result, whose lines are drawn apart."""
    return {float(v) for side, _ in SIDES for v in trade.limit(key, side).ravel() if math.isfinite(v)}


def _limits(trade: Trade, key: str, ax: Axes, theme: Theme, places: tuple[Floats, Floats], way: Floats) -> None:
    """Where the result meets its own limit. ``way``: the result over ``places`` (`linkage.trade.answer.between`)."""
    from contourpy import contour_generator

    for side, left in SIDES:
        limit = trade.limit(key, side)
        if not np.isfinite(limit).any():
            continue
        left_over = np.ma.masked_invalid((way - straight(trade, limit)).T * (-1.0 if left else 1.0))
        for line in contour_generator(*places, left_over).lines(0.0):
            # the generator keeps what is higher, so what is allowed, to the left of its way
            where = np.asarray(line)
            limit_line(ax, where[:, 0], where[:, 1], f"{side} {_figure(limit)}", theme, bad_left=False, at=0.3)


def _areas(found: Answer, ax: Axes, theme: Theme) -> None:
    """Edge of what keeps every finding that can be kept; the rest lightly hatched."""
    (x, y), over = found.edge
    how = found.state
    left = np.ma.masked_invalid(over.T)
    import matplotlib

    with matplotlib.rc_context({"hatch.linewidth": 0.6, "hatch.color": VERMILION}):
        short = ax.contourf(x, y, how.T, levels=[-1.5, -0.5], colors="none", hatches=["//"], zorder=2.0)
        short.set(edgecolor=blend(VERMILION, theme.paper, 0.2), linewidth=0.0)
    if left.count():
        ax.contour(x, y, left, levels=[0.0], colors=[blend(GREEN, theme.ink, 0.25)], linewidths=3.0, zorder=5)
    away = [_nearest(fine, vary.present) for fine, vary in zip((x, y), found.trade.varies, strict=True)]
    for mark, word in ((1.0, "good"), (-1.0, "falls short"), (0.0, "not computed")):
        place = _middle(how == mark, away)
        if place is not None:
            _word(ax, (float(x[place[0]]), float(y[place[1]])), word, theme, _inwards(place, how.shape))


def _cells(ax: Axes, x: Floats, y: Floats, lost: Any, theme: Theme) -> None:
    """Cells without a result, as one shape: thousands of them would take a minute to draw."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    wide, high, colour = _edges(x), _edges(y), blend(theme.muted, theme.paper, 0.5)
    boxes = []
    for j, row in enumerate(lost):
        turns = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]])))
        for first, after in zip(turns[::2], turns[1::2], strict=True):
            low, left, right = high[j], wide[first], wide[after]
            boxes.append(Path([(left, low), (right, low), (right, high[j + 1]), (left, high[j + 1]), (left, low)]))
    if boxes:
        face = blend(theme.muted, theme.paper, 0.85)
        style: dict[str, Any] = {"facecolor": face, "edgecolor": colour, "linewidth": 0.0, "hatch": "xx"}
        ax.add_patch(PathPatch(Path.make_compound_path(*boxes), zorder=2.5, **style))


def _columns(ax: Axes, x: Floats, lost: Any, theme: Theme) -> None:
    """Bands around points without a result."""
    wide, colour = _edges(x), blend(theme.muted, theme.paper, 0.55)
    for i in np.flatnonzero(lost):
        ax.axvspan(wide[i], wide[i + 1], facecolor="none", edgecolor=colour, linewidth=0.0, hatch="xx", zorder=1.5)


def _stretches(found: Answer) -> Iterator[tuple[float, float]]:
    """Where all that can be kept is kept, between points as far as their margins say on a straight line."""
    (x,), left = found.edge
    turns = np.flatnonzero(np.diff(np.concatenate([[False], left >= 0.0, [False]])))
    for first, last in zip(turns[::2], turns[1::2] - 1, strict=True):
        yield float(x[first]), float(x[last])


def _reach(ax: Axes, y: Floats, limits: Sequence[Floats]) -> str:
    """Set the height so that curve and near limits are seen; returns which limits are beyond the picture."""
    seen = y[np.isfinite(y)]
    low, high = (float(seen.min()), float(seen.max())) if len(seen) else (0.0, 1.0)
    span = max(high - low, 1e-3 * max(abs(low), abs(high)), 1e-9)
    beyond = []
    for (side, _), limit in zip(SIDES, limits, strict=True):
        values = limit[np.isfinite(limit)]
        if not len(values):
            continue
        if low - span <= float(np.median(values)) <= high + span:
            low, high = min(low, float(values.min())), max(high, float(values.max()))
        else:
            beyond.append(f"limit {worded(side)} {_figure(values)} beyond the picture")
    pad = 0.14 * max(high - low, span)
    ax.set_ylim(low - pad, high + pad)
    return "; ".join(beyond)


def _outside(ax: Axes, values: Floats) -> bool:
    low, high = ax.get_ylim()
    return bool(np.all(values < low) or np.all(values > high))


def _figure(values: Floats) -> str:
    seen = values[np.isfinite(values)]
    low, high = float(seen.min()), float(seen.max())
    return f"{low:.6g}" if math.isclose(low, high, abs_tol=1e-9) else f"{low:.4g} to {high:.4g}"


def _inwards(place: tuple[int, int], count: tuple[int, ...]) -> tuple[str, str]:
    """How a word at a point of the grid is set so that it stays within the axes."""
    sides = (("left", "right"), ("bottom", "top"))
    across, up = (
        low if i == 0 else high if i == n - 1 else "center"
        for i, n, (low, high) in zip(place, count, sides, strict=True)
    )
    return across, up


def _word(
    ax: Axes, at: tuple[float, float], text: str, theme: Theme, align: tuple[str, str], aside: float = 0.0
) -> None:
    box = {"facecolor": theme.paper, "edgecolor": "none", "pad": 1.8, "alpha": 0.88}
    style: dict[str, Any] = {"ha": align[0], "va": align[1], **lettering(theme, size=TEXT_SIZE + 0.5, weight="bold")}
    ax.annotate(
        text, at, (aside, aside), textcoords="offset points", bbox=box, zorder=10, annotation_clip=True, **style
    )


def _middle(mask: Any, away: Sequence[int]) -> tuple[int, int] | None:
    """Place deep inside an area in steps of the grid, and away from another; None where there is none."""
    from scipy.ndimage import distance_transform_edt

    if not mask.any():
        return None
    sampling = [1.0 / n for n in mask.shape]  # both ways of the picture alike
    depth = distance_transform_edt(np.pad(mask, 1), sampling=sampling)[1:-1, 1:-1]
    apart = np.hypot(*((g - a) / n for g, a, n in zip(np.indices(mask.shape), away, mask.shape, strict=True)))
    best = np.unravel_index(np.argmax(np.where(mask, depth - 0.5 * np.maximum(0.12 - apart, 0.0), -1.0)), mask.shape)
    return int(best[0]), int(best[1])


def _nearest(values: Floats, present: float | None) -> int:
    """Place of the present design among values."""
    return 0 if present is None else int(np.argmin(np.abs(values - present)))


def _edges(x: Floats) -> Floats:
    middle = 0.5 * (x[1:] + x[:-1])
    return np.concatenate([[x[0] - (middle[0] - x[0])], middle, [x[-1] + (x[-1] - middle[-1])]])


def _ends(x: Floats) -> tuple[float, float]:
    pad = 0.02 * float(x[-1] - x[0])
    return float(x[0]) - pad, float(x[-1]) + pad
