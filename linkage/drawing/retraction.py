"""The gear retracting: side view with readouts, and the curves of force and margin with a marker that runs along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from linkage.drawing.animation import Clip
from linkage.drawing.axes import dress, lettering, new_figure
from linkage.drawing.gear_scene import bay, caption, fixed_pins, ground_line, part_shape, view_window
from linkage.drawing.paint import outline_of, paint
from linkage.drawing.palette import LIGHT, Theme
from linkage.drawing.scene import Region, Role, Scene
from linkage.drawing.text import escaped
from linkage.plane.gaps import nearest_pair
from linkage.results import Results
from linkage.stroke import swing_at
from linkage.tracks import core_at, in_state

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.patches import PathPatch

HOLD = 20
"""Frame times for which the picture stands still at the lock, at the tightest gap and at leg-up."""


@dataclass(frozen=True)
class Frames:
    """Driven rotation of each frame and the readouts there."""

    driven: np.ndarray
    swing_deg: np.ndarray
    length: np.ndarray
    push: np.ndarray
    knee: np.ndarray
    margin: np.ndarray
    pair: tuple[tuple[str, str], ...]
    hold: tuple[int, ...]


def frames(r: Results, count: int) -> Frames:
    """Evenly spaced in time as a steady actuator would run: equal steps of actuator length."""
    s = r.stroke
    length = np.linspace(s.actuator_length[0], s.actuator_length[-1], count)
    rising = np.maximum.accumulate(s.actuator_length * np.sign(s.actuator_length[-1] - s.actuator_length[0]))
    steps = np.linspace(rising[0], rising[-1], count)
    driven = np.interp(steps, rising + 1e-9 * np.arange(len(rising)), s.driven)
    push = np.interp(driven, s.driven, np.nan_to_num(r.actuation.push[0]))
    near = np.abs(s.driven[None, :] - driven[:, None]).argmin(axis=1)
    pair = tuple(r.clearance.tightest[i] for i in near) if r.clearance.tightest else ()
    margin = np.interp(driven, s.driven, r.clearance.curve)
    tight = int(np.argmin(np.where(np.isfinite(margin), margin, np.inf)))
    hold = tuple(HOLD if i in (0, tight, count - 1) else 1 for i in range(count))
    swing = np.degrees(swing_at(r.gear, driven))
    return Frames(driven, swing, length, push, np.interp(driven, s.driven, s.knee_offset), margin, pair, hold)


def retraction(
    r: Results, count: int = 120, size: tuple[int, int] = (1280, 720), fps: float = 25.0, theme: Theme = LIGHT
) -> Clip:
    """The clip, ready for `linkage.drawing.video.save_clip`."""
    figure = new_figure(*size, theme=theme)
    side = figure.add_axes((0.085, 0.1, 0.585, 0.82), label="side view")
    upper = figure.add_axes((0.735, 0.49, 0.245, 0.28), label="force")
    lower = figure.add_axes((0.735, 0.1, 0.245, 0.28), label="margin")
    run = frames(r, count)
    parts = _Parts(r, side, run.driven, theme)
    marks = [_curve(upper, r, r.actuation.push[0], "actuator push at 1 g, N", theme)]
    marks.append(_curve(lower, r, r.clearance.curve, "least margin to the bay, mm", theme))
    note = figure.text(0.7, 0.965, "", va="top", linespacing=1.5, zorder=20, **lettering(theme))

    def update(i: int) -> None:
        parts.move(i, run)
        note.set_text(_readout(run, i))
        for mark, values in zip(marks, (run.push, run.margin), strict=True):
            mark.set_data([run.swing_deg[i]], [values[i]])

    artists: list[Artist] = [*parts.artists, *marks, note]
    return Clip(figure, tuple(artists), update, count, fps, run.hold)


class _Parts:
    """Patches of the moving parts and the gap line, laid over the painted bay."""

    def __init__(self, r: Results, ax: Axes, driven: np.ndarray, theme: Theme) -> None:
        from matplotlib.patches import PathPatch

        window = view_window(r)
        ghost = Region(r.swept.keep_out.side_view, Role.KEEPOUT, "keep-out")
        marks = [p for p in fixed_pins(r) if p.fixed]
        still = Scene((ghost, *bay(r, window), *ground_line(r, window), *marks), r.study.title, caption(r), window)
        paint(still, ax, theme)
        self.r, self.ax = r, ax
        self.obstacles = {o.name: o for o in reversed(r.obstacles)}
        self.parts = [in_state(p, r.gear, 0.0) for p in r.gear.parts]
        self.cores = {p.name: core_at(r.gear, p)(driven) for p in self.parts}
        self.patches: list[PathPatch] = []
        for part in self.parts:
            shape = part_shape(r, part, 0.0, Role.OUTLINE)
            style = {"facecolor": theme.paper, "edgecolor": theme.ink, "alpha": 0.85, "linewidth": 1.3, "zorder": 10}
            patch = PathPatch(outline_of(shape), **style)
            ax.add_patch(patch)
            self.patches.append(patch)
        worst = theme.style(Role.WORST)
        (self.gap,) = ax.plot([], [], color=worst.stroke, linewidth=2.2, marker="o", markersize=4, zorder=15)
        self.gap_text = ax.text(0, 0, "", ha="left", va="bottom", zorder=16, **lettering(theme, colour=worst.text))
        self.gap_text.set_bbox({"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85})

    @property
    def artists(self) -> list[Artist]:
        return [*self.patches, self.gap, self.gap_text]

    def move(self, i: int, run: Frames) -> None:
        for part, patch in zip(self.parts, self.patches, strict=True):
            patch.set_path(_path(part, self.cores[part.name][i]))
        if not run.pair:
            return
        part_name, item_name = run.pair[i]
        part = next(p for p in self.parts if p.name == part_name)
        item = self.obstacles[item_name]
        a, b = nearest_pair(self.cores[part_name][i], part.closed, part.radius + item.radius, item.shape)
        self.gap.set_data([a.real, b.real], [a.imag, b.imag])
        self.gap_text.set_text(escaped(f"{part_name} to {item_name}: margin {run.margin[i]:.1f} mm", 70))
        left = a.real < np.mean(self.ax.get_xlim())
        self.gap_text.set_horizontalalignment("left" if left else "right")
        self.gap_text.set_position((a.real + (8 if left else -8), a.imag + 8))


def _path(part: Any, core: np.ndarray) -> Any:
    """Outline of a part whose core lies there."""
    if part.closed:
        return outline_of(shapely.Polygon(np.column_stack([core.real, core.imag])))
    points = np.column_stack([core.real, core.imag])
    shape = shapely.Point(points[0]) if len(core) == 1 else shapely.LineString(points)
    return outline_of(shape.buffer(part.radius, quad_segs=24))


def _curve(ax: Axes, r: Results, values: Sequence[float] | np.ndarray, name: str, theme: Theme) -> Any:
    swing = np.degrees(r.stroke.swing)
    dress(ax, theme, x="leg swing, deg", title=name)
    shown = np.where(np.isfinite(values), values, np.nan)
    ax.plot(swing, shown, color=theme.ink, linewidth=1.2, zorder=3)
    ax.axhline(0.0, color=theme.muted, linewidth=0.8, zorder=2)
    ax.set_xlim(min(swing.min(), 0.0) - 2, swing.max() + 2)
    (mark,) = ax.plot([], [], marker="o", markersize=7, color=theme.style(Role.WORST).stroke, zorder=5)
    return mark


def _readout(run: Frames, i: int) -> str:
    knee = run.knee[i]
    place = f"{knee:.1f} mm over centre" if knee > 0 else f"{-knee:.0f} mm folded"
    return (
        f"leg swing {run.swing_deg[i]:5.1f} deg\n"
        f"actuator {run.length[i]:6.1f} mm, push {run.push[i]:5.0f} N at 1 g\n"
        f"knee {place}"
    )
