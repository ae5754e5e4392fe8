"""Actuator force over the stroke against its rating, what makes it, and how the drive bears on the leg."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.actuation.drive import FRICTION, INERTIA, WAYS
from linkage.actuation.sources import ACTUATOR, AIR, WEIGHT
from linkage.drawing.axes import TEXT_SIZE, dress, lettering
from linkage.drawing.palette import BLUE, GREEN, LIGHT, ORANGE, PURPLE, SKY, VERMILION, YELLOW, Theme
from linkage.drawing.text import escaped, plain, wrapped
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LOOK = {WEIGHT: (BLUE, ""), AIR: (SKY, "\\\\"), FRICTION: (ORANGE, "xx"), INERTIA: (PURPLE, "..")}
SPRINGS = ((GREEN, "//"), (YELLOW, "++"))
"""Gas and lock springs in turn."""


def shown(r: Results) -> bool:
    """Nothing to draw where friction holds the gear everywhere."""
    return bool(np.isfinite(r.drive.push).any())


def force_title(r: Results) -> str:
    """The answer in one line."""
    d = r.drive
    c, w, pose = d.worst()
    force, swing = float(d.push[c, w, pose]), float(np.degrees(r.stroke.swing[pose]))
    what = "push" if force > 0 else "pull"
    peak = f"Greatest demand: {abs(force):.0f} N {what} moving {WAYS[w]} at {swing:.0f} deg swing"
    if d.room is None:
        return peak
    room = float(d.room[c, w, pose])
    return f"{peak}, {'leaves' if room >= 0 else 'lacks'} {abs(room):.0f} N of the rating"


def force_caption(r: Results) -> str:
    """Alternative text."""
    c, w, _ = r.drive.worst()
    return (
        f"Actuator force against leg swing of {r.study.title}, every condition both ways. {force_title(r)}."
        f" Governing condition: {r.drive.conditions[c]}, moving {WAYS[w]}."
    )


def force_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Range of the actuator force with its rating on the left, the causes of the governing case on the right."""
    figure.text(0.06, 0.965, plain(force_title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    force_range(r, figure.add_axes((0.06, 0.12, 0.41, 0.74)), theme)
    force_causes(r, figure.add_axes((0.55, 0.12, 0.43, 0.74)), theme)
    return figure


def force_range(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Band of all conditions for each way, gravity alone, rated limits."""
    d, swing = r.drive, np.degrees(r.stroke.swing)
    dress(
        ax,
        theme,
        x="leg swing, deg (lock 0, up +)",
        y="actuator force, N (push +)",
        title=f"{len(d.conditions)} conditions",
    )
    for w, (colour, hatch) in enumerate(((BLUE, ""), (ORANGE, "//"))):
        seen = np.isfinite(d.push[:, w]).any(axis=0)
        low, high = (f(d.push[:, w][:, seen], axis=0) for f in (np.nanmin, np.nanmax))
        ax.fill_between(swing[seen], low, high, facecolor=colour, alpha=0.22, hatch=hatch, edgecolor=colour, zorder=3)
        ax.plot(swing[seen], high, color=colour, linewidth=1.5, zorder=4)
        ax.plot(swing[seen], low, color=colour, linewidth=0.9, zorder=4)
    ax.plot(swing, r.actuation.push[0], color=theme.ink, linewidth=1.2, linestyle=(0, (6, 2)), zorder=5)
    ax.axhline(0.0, color=theme.ink, linewidth=0.9, zorder=3)
    rating = _rating(r, ax)
    c, w, pose = d.worst()
    ax.plot([swing[pose]], [d.push[c, w, pose]], marker="o", color=theme.ink, markersize=6, zorder=8)
    key = "blue: gear moving up; orange hatched: moving down\nbroken line: weight alone at 1 g"
    _note(ax, key + rating, theme)
    return ax


def force_causes(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """What the actuator works against in the governing case, piled up: each cause as the force that would hold it."""
    d, swing = r.drive, np.degrees(r.stroke.swing)
    c, w, _ = d.worst()
    dress(ax, theme, x="leg swing, deg (lock 0, up +)", y="actuator force by cause, N (push +)")
    ax.set_title(wrapped(f"Moving {WAYS[w]}: {d.conditions[c]}", 64, 2), loc="left", **lettering(theme))
    push, rate = d.push[c, w], r.stroke.actuator_rate
    seen = np.isfinite(push)
    at, piles = swing[seen], {1: np.zeros(int(seen.sum())), -1: np.zeros(int(seen.sum()))}
    middles = []
    for cause, (colour, hatch) in looks(r).items():
        part = -d.moment[cause][c, w][seen] / rate[seen]
        if not np.any(part):
            continue
        style: dict[str, Any] = {
            "facecolor": colour,
            "alpha": 0.55,
            "hatch": hatch,
            "edgecolor": theme.ink,
            "linewidth": 0.3,
        }
        for side, base in piles.items():
            value = np.maximum(part, 0.0) if side > 0 else np.minimum(part, 0.0)
            if np.any(value):
                ax.fill_between(at, base, base + value, zorder=3, **style)
            if np.sign(part[-1]) == side:
                middles.append((float(base[-1] + 0.5 * value[-1]), cause))
            base += value
    ax.plot(at, push[seen], color=theme.ink, linewidth=2.0, zorder=6)
    rating = _rating(r, ax)
    ax.axhline(0.0, color=theme.ink, linewidth=0.9, zorder=5)
    _end_names(ax, float(at[-1]), middles, theme)
    _note(ax, "black line: all together" + rating, theme)
    return ax


def looks(r: Results) -> dict[str, tuple[str, str]]:
    """Colour and hatch of every cause that there is, the actuator left out."""
    out: dict[str, tuple[str, str]] = {}
    for cause in r.drive.moment:
        if cause in LOOK:
            out[cause] = LOOK[cause]
        elif cause != ACTUATOR:
            out[cause] = SPRINGS[0] if cause in r.gear.springs else SPRINGS[1]
    return out


def moment_title(r: Results) -> str:
    """The answer in one line."""
    d = r.drive
    c, w, _ = d.worst()
    peaks = {n: float(np.nanmax(np.abs(m[c, w]), initial=0.0)) / 1000 for n, m in d.moment.items() if n != ACTUATOR}
    order = sorted((n for n in peaks if peaks[n] >= 0.05), key=lambda n: -peaks[n])
    return f"Peak moments at the {r.gear.driven}: " + ", ".join(f"{n} {peaks[n]:.3g}" for n in order) + " N m"


def moment_caption(r: Results) -> str:
    """Alternative text."""
    finite = r.drive.advantage[np.isfinite(r.drive.advantage)]
    return (
        f"Moments at the driven link by cause, and mechanical advantage over leg swing, of {r.study.title}."
        f" {moment_title(r)}. Mechanical advantage with the gear up {finite[-1]:.2f}; without bound at dead centre."
    )


def moment_figure(r: Results, figure: Figure, theme: Theme = LIGHT) -> Figure:
    """Hinge moment by cause, mechanical advantage, transmission angle."""
    figure.text(0.06, 0.965, plain(moment_title(r)), va="top", **lettering(theme, size=TEXT_SIZE + 2.5, weight="bold"))
    moments(r, figure.add_axes((0.06, 0.12, 0.46, 0.74)), theme)
    advantage(r, figure.add_axes((0.62, 0.53, 0.36, 0.33)), theme)
    transmission(r, figure.add_axes((0.62, 0.12, 0.36, 0.27)), theme)
    return figure


def moments(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Generalised force at the driven link over swing, governing case."""
    d, swing = r.drive, np.degrees(r.stroke.swing)
    c, w, _ = d.worst()
    dress(ax, theme, x="leg swing, deg (lock 0, up +)", y=f"moment at the {plain(r.gear.driven, 20)}, N m (+ raises)")
    ax.set_title(wrapped(f"Moving {WAYS[w]}: {d.conditions[c]}", 68, 2), loc="left", **lettering(theme))
    styles = {n: (colour, (0, ())) for n, (colour, _) in looks(r).items()} | {ACTUATOR: (theme.ink, (0, (6, 2)))}
    ends = []
    for cause, (colour, dashes) in styles.items():
        value = d.moment[cause][c, w] / 1000
        if np.any(np.abs(np.nan_to_num(value)) > 0):
            ax.plot(swing, value, color=colour, linewidth=1.8, linestyle=dashes, zorder=4)
            ends.append((float(value[np.isfinite(value)][-1]), cause))
    _end_names(ax, float(swing[-1]), ends, theme)
    ax.axhline(0.0, color=theme.ink, linewidth=0.9, zorder=3)
    return ax


def advantage(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Actuator travel per travel of the axle: force at the axle per force of the actuator, without friction."""
    swing, value = np.degrees(r.stroke.swing), r.drive.advantage
    dress(ax, theme, x="leg swing, deg", y="actuator / axle travel")
    ax.plot(swing, value, color=BLUE, linewidth=1.6, zorder=4)
    late = value[np.isfinite(value) & (swing > 0.1 * swing[-1])]
    top = 1.6 * float(late.max())
    ax.set_ylim(0.0, top)
    note = "; leaves the picture at dead centre" if np.nanmax(value) > top else ""
    ax.set_title(f"Mechanical advantage{note}", loc="left", **lettering(theme))
    ax.annotate(
        f"{value[-1]:.3f}",
        (swing[-1], value[-1]),
        xytext=(-6, -12),
        textcoords="offset points",
        ha="right",
        **lettering(theme),
    )
    return ax


def transmission(r: Results, ax: Axes, theme: Theme = LIGHT) -> Axes:
    """Transmission angle against its least wanted value."""
    swing, value, least = (
        np.degrees(r.stroke.swing),
        np.degrees(r.stroke.transmission),
        r.study.limits.transmission_angle.min,
    )
    dress(ax, theme, x="leg swing, deg (lock 0, up +)", y="deg")
    ax.plot(swing, value, color=BLUE, linewidth=1.6, zorder=4)
    if least is not None:
        ax.axhline(least, color=VERMILION, linewidth=1.6, zorder=3)
    ax.set_ylim(0.0, 95.0)
    at = int(np.argmin(value))
    ax.plot([swing[at]], [value[at]], marker="o", color=theme.ink, markersize=5, zorder=6)
    note = "; red: least wanted" if least is not None else ""
    ax.set_title(f"Transmission angle, least {value[at]:.1f} deg{note}", loc="left", **lettering(theme))
    return ax


def _rating(r: Results, ax: Axes) -> str:
    """Rated push and pull; one that is far from every force stays out of the picture. Returns its part of the key."""
    rated, swing = r.drive.rated, np.degrees(r.stroke.swing)
    if rated is None:
        return ""
    shown, low, high = False, float(np.nanmin(r.drive.push)), float(np.nanmax(r.drive.push))
    span = max(high, 0.0) - min(low, 0.0)
    ax.set_ylim(min(low, 0.0) - 0.3 * span, max(high, 0.0) + 0.12 * span)
    for limit in (rated[0], -rated[1]):
        if low - 0.6 * span < float(np.median(limit)) < high + 0.6 * span:
            shown = True
            ax.plot(swing, limit, color=VERMILION, linewidth=2.0, zorder=6)
            bottom, top = ax.get_ylim()
            ax.set_ylim(min(bottom, float(limit.min()) - 0.12 * span), max(top, float(limit.max()) + 0.08 * span))
    return "; red: rating" if shown else "; rating beyond the picture"


def _end_names(ax: Axes, x: float, ends: list[tuple[float, str]], theme: Theme) -> None:
    """Names right of the curves' ends, moved apart, each with a leader."""
    low, high = ax.get_ylim()
    heights: list[float] = []
    for value, cause in sorted(ends):
        heights.append(max(value, heights[-1] + 0.045 * (high - low)) if heights else value)
        leader = {"arrowstyle": "-", "color": theme.muted, "linewidth": 0.6}
        place = (x + 0.04 * abs(x), heights[-1])
        box = {"facecolor": theme.paper, "edgecolor": "none", "pad": 0.6}
        style: dict[str, Any] = {"arrowprops": leader, "bbox": box, **lettering(theme)}
        ax.annotate(escaped(cause, 24), (x, value), place, va="center", zorder=9, **style)
    ax.set_xlim(-0.02 * abs(x), 1.2 * x)


def _note(ax: Axes, text: str, theme: Theme) -> None:
    """The key, low in the picture but above the line of the rated pull."""
    box = {"facecolor": theme.paper, "edgecolor": "none", "pad": 1.5, "alpha": 0.85}
    ax.text(0.03, 0.09, text, transform=ax.transAxes, va="bottom", zorder=9, bbox=box, **lettering(theme))
