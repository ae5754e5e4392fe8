"""Which combinations of two items are allowed whatever else is loaded: CG limits and nose-share band drawn in."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.limits import limit_line, worded
from linkage.drawing.palette import GREEN, LIGHT, VERMILION, Theme, blend
from linkage.drawing.text import plain
from linkage.loading import BaggageMap
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FloatArray = NDArray[np.float64]
STRIP = 0.014
"""Width of the strip that stands for an item left out, where it cannot be loaded lightly, as part of its range."""


def baggage_chart(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Mass of one item across, of the other up. Only for a study that names two items (``shown``)."""
    m = _map(r)
    dress(ax, theme, x=f"{m.item_a}, kg", y=f"{m.item_b}, kg", title=title(r))
    (x, i), (y, j) = _solid(m.a_kg), _solid(m.b_kg)
    pad_x, pad_y = 0.06 * m.a_kg[-1], 0.06 * m.b_kg[-1]
    ax.set(xlim=(-pad_x, m.a_kg[-1] + pad_x), ylim=(-pad_y, m.b_kg[-1] + pad_y))
    worst = np.minimum.reduce([z / max(float(np.nanmax(np.abs(z))), 1e-9) for z in margins(r).values()])
    _field(ax, m, i, j, worst, theme)
    for limit, margin in margins(r).items():
        for line in _zero_lines(x, y, margin[j:, i:]):
            limit_line(ax, line[:, 0], line[:, 1], limit, theme, bad_left=True)
    _contours(ax, m, i, j, r.share.band, theme)
    if i:
        _strip(ax, m.allowed[j:, 0], m.possible[j:, 0], y, STRIP * (m.a_kg[-1] - m.a_kg[0]), False, theme)
    if j:
        _strip(ax, m.allowed[0, i:], m.possible[0, i:], x, STRIP * (m.b_kg[-1] - m.b_kg[0]), True, theme)
    _texts(r, ax, m, i, j, theme)
    ax.set_label(caption(r))
    return ax


def shown(r: Results) -> bool:
    """Whether the study names two items."""
    return r.loadings.map is not None


def margins(r: Results) -> dict[str, FloatArray]:
    """By limit: what is left to it over the grid, below 0 where some loading breaks it, NaN where there is none."""
    m, band, cg = _map(r), r.share.band, r.study.airframe.cg_limits
    return {
        f"nose share >= {100 * band[0]:g} %": m.share_min - band[0],
        f"nose share <= {100 * band[1]:g} %": band[1] - m.share_max,
        f"CG >= FS {cg.forward:g} mm": m.cg_min - cg.forward,
        f"CG <= FS {cg.aft:g} mm": cg.aft - m.cg_max,
    }


def title(r: Results) -> str:
    """The answer in one line."""
    m = _map(r)
    if not m.allowed[m.possible].size or m.allowed[m.possible].all():
        state = "allowed" if m.allowed.any() else "possible"
        return f"Every combination of {m.item_a} and {m.item_b} is {state}, whatever else is loaded"
    if not m.allowed.any():
        return f"No combination of {m.item_a} and {m.item_b} keeps every limit whatever else is loaded"
    answers = []
    for name, kg, other, good, possible in (
        (m.item_b, m.b_kg, m.item_a, m.allowed, m.possible),
        (m.item_a, m.a_kg, m.item_b, m.allowed.T, m.possible.T),
    ):
        most = _most(kg, np.logical_or(good, ~possible).all(axis=1))
        if most:
            best = max((b for column in good.T if (b := _most(kg, column)) is not None), default=0.0)
            more = f", up to {best:.0f} kg with some" if best > most else ""
            answers.append(
                (most / kg[-1], f"{name}: up to {most:.0f} kg with any {other}{more}, whatever else is loaded")
            )
    part = 100 * m.allowed.sum() / m.possible.sum()
    return max(answers)[1] if answers else f"{m.item_a} and {m.item_b}: {part:.0f} % of the combinations are allowed"


def caption(r: Results) -> str:
    """Alternative text."""
    m = _map(r)
    part = 100 * m.allowed.sum() / max(m.possible.sum(), 1)
    return (
        f"Map of {m.item_a} against {m.item_b} of {r.study.airframe.name}: {part:.0f} % of the possible combinations"
        f" keep the CG limits and the nose-share band with every loading of the rest. {title(r)}."
    )


def _map(r: Results) -> BaggageMap:
    if r.loadings.map is None:
        raise ValueError("the study names no two items (loading.map): nothing to draw")
    return r.loadings.map


def _most(kg: FloatArray, good: Any) -> float | None:
    """Greatest whole kg up to which every mass is good, None if not even the least is."""
    if not good[0]:
        return None
    last = kg[len(kg) - 1 if good.all() else int(np.argmin(good)) - 1]
    return math.floor(float(last) + 1e-9)


def _solid(kg: FloatArray) -> tuple[FloatArray, int]:
    """The range that can be loaded in any amount, and where it begins (1 if 0 stands apart from it)."""
    steps = np.diff(kg)
    first = int(len(kg) > 2 and steps[0] > 1.5 * steps[1])
    return kg[first:], first


def _field(ax: Axes, m: BaggageMap, i: int, j: int, worst: FloatArray, theme: Theme) -> None:
    """Allowed and not allowed as areas; what is no loading at all stays white."""
    x, y = m.a_kg[i:], m.b_kg[j:]
    z = np.ma.masked_invalid(worst[j:, i:])
    if z.count() < 4:
        return
    reach = max(float(np.abs(z).max()), 1e-9) * 2
    colours = [blend(VERMILION, theme.paper, 0.8), blend(GREEN, theme.paper, 0.76)]
    ax.contourf(x, y, z, levels=[-reach, 0.0, reach], colors=colours, zorder=1.5)


def _contours(ax: Axes, m: BaggageMap, i: int, j: int, band: tuple[float, float], theme: Theme) -> None:
    """Least nose share over the rest of the loading, thin."""
    share = 100 * np.ma.masked_invalid(m.share_min[j:, i:])
    if share.count() < 4 or float(share.max() - share.min()) < 0.1:
        return
    step = next(s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0) if (share.max() - share.min()) / s <= 9 or s == 5.0)
    levels = np.arange(math.ceil(share.min() / step), share.max() / step) * step
    levels = levels[~np.isclose(levels[:, None], 100 * np.array(band)).any(axis=1)]
    lines = ax.contour(
        m.a_kg[i:],
        m.b_kg[j:],
        share,
        levels=levels,
        colors=theme.muted,
        linewidths=0.6,
        linestyles=[(0, (3, 3))],
        zorder=3,
    )
    for text in ax.clabel(lines, fmt="%.4g %%", fontsize=TEXT_SIZE - 1.5, inline_spacing=2):
        text.set(color=theme.muted, family="DejaVu Sans", zorder=3.5)


def _zero_lines(x: FloatArray, y: FloatArray, z: FloatArray) -> Iterator[FloatArray]:
    """Lines on which z is 0, each (n, 2), with the side below 0 on its left."""
    from contourpy import contour_generator

    if np.isfinite(z).sum() < 4:
        return
    for line in contour_generator(x, y, np.ma.masked_invalid(z)).lines(0.0):
        points = np.asarray(line, dtype=float)
        yield points[::-1] if _rises_left(points, x, y, z) else points


def _rises_left(line: FloatArray, x: FloatArray, y: FloatArray, z: FloatArray) -> bool:
    """Whether z grows to the left of the middle of a line, from the cell it lies in."""
    k = max(len(line) // 2 - 1, 0)
    (px, py), (dx, dy) = (line[k] + line[k + 1]) / 2, line[k + 1] - line[k]
    i = int(np.clip(np.searchsorted(x, px) - 1, 0, len(x) - 2))
    j = int(np.clip(np.searchsorted(y, py) - 1, 0, len(y) - 2))
    slope_x = np.nanmean(z[j : j + 2, i + 1] - z[j : j + 2, i]) / (x[i + 1] - x[i])
    slope_y = np.nanmean(z[j + 1, i : i + 2] - z[j, i : i + 2]) / (y[j + 1] - y[j])
    return bool(slope_y * dx - slope_x * dy > 0.0)


def _strip(
    ax: Axes,
    allowed: NDArray[np.bool_],
    possible: NDArray[np.bool_],
    along: FloatArray,
    width: float,
    level: bool,
    theme: Theme,
) -> None:
    """The loadings without one of the items, as a strip at 0 kg: allowed and not allowed in runs."""
    from matplotlib.patches import Rectangle

    state = np.where(possible, allowed.astype(int), -1)
    edges = np.concatenate([along[:1], (along[1:] + along[:-1]) / 2, along[-1:]])
    start = 0
    for value, run in groupby(state):
        count = len(list(run))
        low, high = float(edges[start]), float(edges[start + count])
        start += count
        if value >= 0:
            colour = blend(GREEN if value else VERMILION, theme.paper, 0.5)
            corner, size = (
                ((low, -width / 2), (high - low, width)) if level else ((-width / 2, low), (width, high - low))
            )
            ax.add_patch(Rectangle(corner, *size, facecolor=colour, edgecolor=theme.muted, linewidth=0.5, zorder=2))


def _texts(r: Results, ax: Axes, m: BaggageMap, i: int, j: int, theme: Theme) -> None:
    """What the areas mean, and which limits are never reached."""
    never = [worded(n) for n, z in margins(r).items() if np.nanmin(z) >= 0.0]
    rest = [n for n in r.share.model.names if n not in (m.item_a, m.item_b)]
    lines = [
        f"Worst over every loading of {', '.join(rest) or 'nothing else'}. Ticks: side on which some loading breaks the"
        " limit",
        "Thin: least nose share over the rest. White: no loading",
        f"Never reached: {'; '.join(never)}" if never else "",
    ]
    text = "\n".join(plain(line, 150) for line in lines if line)
    ax.text(0.0, -0.1, text, transform=ax.transAxes, va="top", **lettering(theme, colour=theme.muted))
    for colour, word, good in ((GREEN, "allowed", True), (VERMILION, "not allowed", False)):
        spot = _spot(m, i, j, good)
        if spot is not None:
            style = lettering(theme, size=TEXT_SIZE + 1, weight="bold", colour=blend(colour, theme.ink, 0.5))
            ax.text(*spot, word, ha="center", va="center", zorder=6, bbox=_plain(theme, colour), **style)
    for apart, name, spot in ((i, m.item_a, (0.0, m.b_kg[-1])), (j, m.item_b, (m.a_kg[-1] / 2, 0.0))):
        if apart:
            ax.annotate(
                plain(f"no {name}"),
                spot,
                xytext=(0, 6),
                textcoords="offset points",
                ha="center",
                va="bottom",
                **lettering(theme),
            )


def _plain(theme: Theme, colour: str) -> dict[str, Any]:
    """Ground of a text that hides the thin lines under it."""
    return {"facecolor": blend(colour, theme.paper, 0.78), "edgecolor": "none", "pad": 1.5}


def _spot(m: BaggageMap, i: int, j: int, good: bool) -> tuple[float, float] | None:
    """Place well inside one of the areas, None if it is too small to write in."""
    from scipy.ndimage import distance_transform_edt

    state = np.pad((m.possible & (m.allowed == good))[j:, i:], 1)
    depth = distance_transform_edt(state)[1:-1, 1:-1]
    if depth.max() < 3:
        return None
    row, column = np.unravel_index(int(depth.argmax()), depth.shape)
    return float(m.a_kg[i + column]), float(m.b_kg[j + row])
