"""Limit lines on charts: ticks on the side that is not allowed, the name along the line."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from linkage.drawing.axes import TEXT_SIZE, lettering
from linkage.drawing.palette import BLUE, ORANGE, PURPLE, VERMILION, Theme, blend
from linkage.drawing.text import plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FloatArray = NDArray[np.float64]

COLOURS = {"nose share": BLUE, "tip-back": VERMILION, "turnover": PURPLE, "propeller": ORANGE, "CG": VERMILION}
"""One colour for each kind of limit; ticks and the name along the line say the same."""


def colour_of(limit: str, theme: Theme) -> str:
    """Colour of a limit by the words in its name, dark enough to write with."""
    colour = next((c for word, c in COLOURS.items() if word in limit), theme.ink)
    return blend(colour, theme.ink, 0.15)


def limit_line(
    ax: Axes,
    x: FloatArray,
    y: FloatArray,
    limit: str,
    theme: Theme,
    *,
    bad_left: bool,
    region: Any = None,
    at: float = 0.5,
) -> None:
    """Draw a limit through data points inside the axes' limits. ``bad_left``: not allowed is to the left of the way of
    the points. Its name stands in the middle of the piece that bounds ``region`` (shapely, data units), else ``at``
    that part of the visible piece."""
    from matplotlib.patheffects import withTickedStroke

    colour = colour_of(limit, theme)
    ticks: Any = withTickedStroke(spacing=6.5, angle=60.0 if bad_left else -60.0, length=0.7)
    ax.plot(x, y, color=colour, linewidth=1.3, zorder=5, path_effects=[ticks], scalex=False, scaley=False)
    visible = _visible(ax, x, y)
    if visible is None:
        return
    place, slope = _at(ax, visible, _middle_of_border(visible, region, at))
    up = -90.0 < slope <= 90.0
    # The name stands on the allowed side, which has no ticks: right of the way where the left is bad. Turned upright,
    # right of a way that runs to the right is below, of one that runs to the left above.
    below = bad_left == up
    ax.annotate(
        worded(limit),
        place,
        xytext=_aside(slope, 3.0 if bad_left else -3.0),
        textcoords="offset points",
        rotation=slope if up else slope - math.copysign(180.0, slope),
        rotation_mode="anchor",
        ha="center",
        va="top" if below else "bottom",
        zorder=6,
        clip_on=True,
        **lettering(theme, size=TEXT_SIZE - 0.5, colour=colour),
    )


def worded(limit: str) -> str:
    """A limit as a picture says it."""
    return plain(limit.replace(">=", "≥").replace("<=", "≤"))


def _aside(slope: float, right: float) -> tuple[float, float]:
    """Points to the right of a way of that slope in degrees."""
    angle = math.radians(slope)
    return right * math.sin(angle), -right * math.cos(angle)


def _middle_of_border(line: FloatArray, region: Any, at: float) -> float:
    """Part of the way along ``line`` at which it is in the middle of bounding ``region``; ``at`` if it does not."""
    import shapely

    if region is None or region.is_empty:
        return at
    size = np.ptp(line, axis=0).max()
    whole = shapely.LineString(line)
    shared = whole.intersection(region.buffer(1e-6 * size))
    parts = [p for p in shapely.get_parts(shared) if p.length > 0.02 * whole.length]
    if not parts:
        return at
    longest = max(parts, key=lambda p: p.length)
    return float(whole.project(longest.interpolate(0.5, normalized=True), normalized=True))


def _visible(ax: Axes, x: FloatArray, y: FloatArray) -> FloatArray | None:
    """The longest piece of a line inside the axes, (n, 2)."""
    import shapely

    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    sane = np.isfinite(x) & np.isfinite(y)
    if sane.sum() < 2:
        return None
    cut = shapely.clip_by_rect(shapely.LineString(np.column_stack([x[sane], y[sane]])), x0, y0, x1, y1)
    parts = [p for p in shapely.get_parts(cut) if p.length > 0.0]
    return shapely.get_coordinates(max(parts, key=lambda p: p.length)) if parts else None


def _at(ax: Axes, line: FloatArray, at: float) -> tuple[tuple[float, float], float]:
    """Place at a part of the way along a line as seen, and the slope there in degrees on paper."""
    seen = ax.transData.transform(line)
    steps = np.hypot(*np.diff(seen, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    here = [float(np.interp(at * way[-1], way, seen[:, k])) for k in (0, 1)]
    i = min(int(np.searchsorted(way, at * way[-1], side="right")) - 1, len(steps) - 1)
    dx, dy = seen[i + 1] - seen[i]
    x, y = ax.transData.inverted().transform(here)
    return (float(x), float(y)), math.degrees(math.atan2(dy, dx))
