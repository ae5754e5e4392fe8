"""Where nose wheel and mains may stand together: the allowed region, the limits around it and the chosen place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.limits import limit_line
from linkage.drawing.paint import outline_of
from linkage.drawing.palette import GREEN, LIGHT, Theme, blend
from linkage.drawing.text import plain
from linkage.results import Results
from linkage.stations import Interval, StationPlan, site, station_plan

if TYPE_CHECKING:
    from matplotlib.axes import Axes

REACH_NOSE, REACH_MAINS = 0.16, 0.05
"""What is shown to either side of the chosen stations, as parts of the wheelbase; more where the answer is farther."""

NOTE = (
    "Ticks: side on which some loading breaks the limit. Wheels are moved along the static ground line: attitude and"
    " the mass of the gear stay as they are"
)

Window = tuple[float, float, float, float]


def station_map(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Nose station across, main station up, both FS of the ground contact."""
    dress(
        ax,
        theme,
        x="nose-wheel contact FS, mm (aft +)",
        y="main-wheel contact FS, mm (aft +)",
        title=title(r),
    )
    window = _window(r)
    reach = max(window[3] - r.stations.mains.chosen, r.stations.mains.chosen - window[1])
    plan = station_plan(site(r.study, r.share.model, r.grounds[0], r.standing), 1.05 * reach)
    ax.set(xlim=(window[0], window[2]), ylim=(window[1], window[3]))
    region = allowed(plan, window)
    _fill(ax, region, theme)
    for line in plan.lines:
        forward = line.side == "forward"
        limit_line(ax, line.nose, plan.mains, line.limit, theme, bad_left=forward, region=region)
    across = np.array([window[0], window[2]])
    for level in plan.levels:
        # "forward" is below this line: on the right of a way that runs to the right
        aft, y = level.side == "aft", np.full(2, level.at)
        limit_line(ax, across, y, level.limit, theme, bad_left=aft, at=0.12)
    _chosen(r, ax, theme)
    ax.text(
        0.0,
        -0.1,
        plain("; ".join([NOTE, *_broken(plan)])),
        transform=ax.transAxes,
        va="top",
        **lettering(theme, colour=theme.muted),
    )
    ax.set_label(caption(r))
    return ax


def title(r: Results) -> str:
    """The answer in one line."""
    return f"Nose wheel: {_answer(r.stations.nose)}. Mains: {_answer(r.stations.mains)}"


def caption(r: Results) -> str:
    """Alternative text."""
    ends = [
        f"{i.wheel}: {side} end FS {end.at:.0f} mm by {end.limit}"
        for i in (r.stations.nose, r.stations.mains)
        for side, end in (("forward", i.forward), ("aft", i.aft))
        if end is not None
    ]
    return f"Allowed stations of nose wheel and mains of {r.study.airframe.name}. {title(r)}. {'; '.join(ends)}."


def allowed(plan: StationPlan, window: Window) -> Any:
    """The allowed region inside a window (FS nose, FS mains, mm), as a shapely geometry."""
    region: Any = box(*window)
    if plan.broken:
        return Polygon()
    x0, y0, x1, y1 = window
    far = 10.0 * (x1 - x0 + y1 - y0)
    for line in plan.lines:
        outside = x0 - far if line.side == "forward" else x1 + far
        edge = np.clip(line.nose, x0 - far, x1 + far)
        ring = [*zip(edge, plan.mains, strict=True), (outside, plan.mains[-1]), (outside, plan.mains[0])]
        region = region.difference(shapely.make_valid(Polygon(ring)))
    for level in plan.levels:
        bad = (
            box(x0 - far, y0 - far, x1 + far, level.at)
            if level.side == "forward"
            else box(x0 - far, level.at, x1 + far, y1 + far)
        )
        region = region.difference(bad)
    return region


def _answer(i: Interval) -> str:
    """Chosen station against the interval, in words."""
    low, high = i.forward, i.aft
    if i.empty:
        return f"FS {i.chosen:.0f}, no station keeps every limit"
    ends = f"{low.at:.0f}" if low else "any", f"{high.at:.0f}" if high else "any"
    span = f"allowed {ends[0]} to {ends[1]}"
    if i.holds:
        return f"FS {i.chosen:.0f}, {span} mm"
    if low is not None and i.chosen < low.at:
        return f"FS {i.chosen:.0f} is {low.at - i.chosen:.1f} mm too far forward, {span} mm"
    far = i.chosen - high.at if high else 0.0
    return f"FS {i.chosen:.0f} is {far:.1f} mm too far aft, {span} mm"


def _window(r: Results) -> Window:
    """Around the chosen stations, wide enough for the ends of both intervals where those are not absurdly far."""
    wheelbase = r.grounds[0].wheelbase
    spans = []
    for i, part in ((r.stations.nose, REACH_NOSE), (r.stations.mains, REACH_MAINS)):
        reach = part * wheelbase
        places = [i.chosen - reach, i.chosen + reach]
        if not i.empty:
            ends = [b.at for b in (i.forward, i.aft) if b is not None and abs(b.at - i.chosen) < 3 * reach]
            places += [end + 0.3 * reach * np.sign(end - i.chosen) for end in ends]
        spans.append((min(places), max(places)))
    (x0, x1), (y0, y1) = spans
    return float(x0), float(y0), float(x1), float(y1)


def _fill(ax: Axes, region: Any, theme: Theme) -> None:
    from matplotlib.patches import PathPatch

    if region.is_empty:
        ax.text(0.5, 0.5, "no place keeps every limit", transform=ax.transAxes, ha="center", **lettering(theme))
        return
    ax.add_patch(PathPatch(outline_of(region), facecolor=GREEN, alpha=0.22, edgecolor="none", zorder=2))
    on_paper = shapely.transform(region, ax.transData.transform)
    middle = shapely.maximum_inscribed_circle(on_paper, 1.0).coords[0]
    at = ax.transData.inverted().transform(middle)
    text = lettering(theme, size=TEXT_SIZE + 1, weight="bold", colour=blend(GREEN, theme.ink, 0.5))
    ax.text(float(at[0]), float(at[1]), "allowed", ha="center", va="center", zorder=6, **text)


def _chosen(r: Results, ax: Axes, theme: Theme) -> None:
    """The place of the study, and how far each wheel alone is from its allowed stations."""
    x, y = r.stations.nose.chosen, r.stations.mains.chosen
    ax.plot([x], [y], marker="o", markersize=7, color=theme.ink, zorder=8)
    for i, across in ((r.stations.nose, True), (r.stations.mains, False)):
        end = _nearest(i)
        if end is None:
            continue
        tip = (end, y) if across else (x, end)
        ax.annotate("", tip, (x, y), zorder=7, arrowprops={"arrowstyle": "-|>", "color": theme.ink, "linewidth": 1.1})
        middle = ((x + tip[0]) / 2, (y + tip[1]) / 2)
        ax.annotate(
            f"{end - i.chosen:+.1f} mm",
            middle,
            xytext=(0, -5) if across else (-5, 0),
            textcoords="offset points",
            ha="center" if across else "right",
            va="top" if across else "center",
            zorder=9,
            **lettering(theme, weight="bold"),
        )
    ax.annotate(
        f"chosen {x:.0f}, {y:.0f}",
        (x, y),
        xytext=(-8, -8),
        textcoords="offset points",
        ha="right",
        va="top",
        zorder=9,
        bbox={"facecolor": theme.paper, "edgecolor": "none", "alpha": 0.75, "pad": 1.0},
        **lettering(theme, weight="bold"),
    )


def _nearest(i: Interval) -> float | None:
    """Nearest allowed station of a wheel that stands outside, None if it stands inside or there is none."""
    if i.empty or i.holds:
        return None
    low, high = i.forward, i.aft
    return low.at if low is not None and i.chosen < low.at else high.at if high is not None else None


def _broken(plan: StationPlan) -> list[str]:
    return [f"broken everywhere: {limit}" for limit in plan.broken]
