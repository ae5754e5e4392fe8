"""The gear in motion: side view and front view with readouts, and the curves of force and margin with markers."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from linkage.drawing.animation import Clip
from linkage.drawing.axes import TEXT_SIZE, dress, lettering, new_figure
from linkage.drawing.frames import Frames, steady
from linkage.drawing.gear_scene import bay, caption, fixed_pins, ground_line, rim, view_window
from linkage.drawing.paint import paint
from linkage.drawing.palette import LIGHT, Theme
from linkage.drawing.scene import Region, Role, Scene
from linkage.drawing.text import plain
from linkage.gear import GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.plane.gaps import nearest_pair
from linkage.results import Results
from linkage.tracks import core_at, in_state

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.collections import PathCollection
    from matplotlib.path import Path as MplPath


Size = tuple[int, int]

ARC_STEPS = 48
"""Straight pieces of a half circle."""

GAP_INSET = 6.0
"""Pixels that the name of the gap keeps from the edge of the side view."""

LEFT_ROOM = 72.0
"""Pixels for the station scale and its name."""


def motion_clip(
    r: Results, run: Frames | None = None, size: Size = (1280, 720), fps: float = 25.0, theme: Theme = LIGHT
) -> Clip:
    """The clip of some frames (the steady retraction in 120 without), ready for `linkage.drawing.video.save_clip`."""
    from linkage.drawing.letters import Letters

    run = steady(r, 120) if run is None else run
    figure = new_figure(*size, theme=theme)
    left = max(0.06, LEFT_ROOM / size[0])
    side = figure.add_axes((left, 0.09, 0.59 - left, 0.83), label="side view")
    front = figure.add_axes((0.625, 0.09, 0.13, 0.83), label="front view")
    upper = figure.add_axes((0.825, 0.46, 0.16, 0.21), label="force")
    lower = figure.add_axes((0.825, 0.09, 0.16, 0.21), label="margin")
    moving = _Moving(r, side, front, run, theme)
    push, margin = r.actuation.push[0], r.clearance.curve
    marks = [_curve(upper, r, push, "push at 1 g, N", theme), _curve(lower, r, margin, "least margin, mm", theme)]
    note = Letters(theme, figure.dpi, spacing=1.33)
    figure.add_artist(note)

    def update(i: int) -> None:
        moving.show(i)
        note.show(_readout(run, i), (0.775 * size[0], 0.965 * size[1]))
        for mark, values in zip(marks, (run.push, run.margin), strict=True):
            mark.set_data([run.swing_deg[i]], [values[i]])

    artists: list[Artist] = [*moving.artists, *marks, note]
    return Clip(figure, tuple(artists), update, run.count, fps, run.hold)


class _Moving:
    """Patches of the moving parts in both views and the gap line, laid over the painted bay."""

    def __init__(self, r: Results, side: Axes, front: Axes, run: Frames, theme: Theme) -> None:
        from linkage.drawing.letters import Letters

        self.r, self.side, self.run = r, side, run
        self.obstacles = {o.name: o for o in reversed(r.obstacles)}
        self.parts = {p.name: in_state(p, r.gear, 0.0) for p in r.gear.parts}
        self.cores = {name: core_at(r.gear, p)(run.driven) for name, p in self.parts.items()}
        window = view_window(r)
        ghost = Region(r.swept.keep_out.side_view, Role.KEEPOUT, "keep-out")
        pins = [replace(p, label="") for p in fixed_pins(r) if p.fixed]  # moving parts would cover half a name
        still = Scene(
            (ghost, *bay(r.obstacles, window), *ground_line(r, window), *pins), r.study.title, caption(r), window
        )
        paint(still, side, theme)
        _front_bay(r, front, side.get_ylim(), theme)
        self.shapes, self.boxes = _paths(side, theme), _paths(front, theme)
        worst = theme.style(Role.WORST)
        (self.gap,) = side.plot([], [], color=worst.stroke, linewidth=2.2, marker="o", markersize=4, zorder=15)
        self.gap_text = Letters(theme, side.figure.dpi, colour=worst.text, ground=True, layer=16)
        side.add_artist(self.gap_text)

    @property
    def artists(self) -> list[Artist]:
        return [self.shapes, self.boxes, self.gap, self.gap_text]

    def show(self, i: int) -> None:
        cores = [(part, self.cores[name][i]) for name, part in self.parts.items()]
        self.shapes.set_paths([_outline(part, core) for part, core in cores])
        self.boxes.set_paths([_from_ahead(part, core) for part, core in cores])
        if self.run.pair:
            self._show_gap(i)

    def _show_gap(self, i: int) -> None:
        name, item_name = self.run.pair[i]
        part, item = self.parts[name], self.obstacles[item_name]
        a, b = nearest_pair(self.cores[name][i], part.closed, part.radius + item.radius, item.shape)
        self.gap.set_data([a.real, b.real], [a.imag, b.imag])
        left = a.real < np.mean(self.side.get_xlim())
        x, y = self.side.transData.transform((a.real + (8 if left else -8), a.imag + 8))
        text = plain(f"{name} to {item_name}: margin {self.run.margin[i]:.1f} mm", 70)
        letters, room = self.gap_text.kept, self.side.bbox
        x -= 0 if left else letters.width(text)
        x = max(min(x, room.x1 - letters.width(text) - GAP_INSET), room.x0 + GAP_INSET)
        self.gap_text.show([text], (x, min(y + letters.height, room.y1 - GAP_INSET)))


def _outline(part: GearPart, core: Complexes) -> MplPath:
    """A part whose core lies there, as drawn."""
    from matplotlib.path import Path as MplPath

    ring = np.append(core, core[0]) if part.closed else rim(core[0], core[-1], part.radius, ARC_STEPS)
    return MplPath(np.column_stack([ring.real, ring.imag]), closed=True)


def _from_ahead(part: GearPart, core: Complexes) -> MplPath:
    """The box round a part between each two of its butt lines."""
    from matplotlib.path import Path as MplPath

    low, high = core.imag.min() - part.radius, core.imag.max() + part.radius
    boxes = [[(a, low), (b, low), (b, high), (a, high), (a, low)] for a, b in part.butt_lines]
    return MplPath.make_compound_path(*(MplPath(np.array(box), closed=True) for box in boxes))


def _paths(ax: Axes, theme: Theme) -> PathCollection:
    """Shapes of the moving parts, drawn in one go."""
    from matplotlib.collections import PathCollection

    style = {"facecolors": theme.paper, "edgecolors": theme.ink, "alpha": 0.8, "linewidths": 1.2, "zorder": 10}
    paths = PathCollection([], capstyle="butt", joinstyle="miter", **style)  # type: ignore[arg-type]
    ax.add_collection(paths, autolim=False)
    return paths


def _front_bay(r: Results, ax: Axes, heights: tuple[float, float], theme: Theme) -> None:
    """Bay items as seen from ahead, cut to the butt lines of the gear and somewhat more."""
    from matplotlib.patches import Rectangle

    reach = 1.35 * max(max(abs(b) for pair in p.butt_lines for b in pair) for p in r.gear.parts)
    dress(ax, theme, x="BL, mm (right +)")
    ax.set(xlim=(-reach, reach), ylim=heights)
    ax.tick_params(labelleft=False)
    for item in r.obstacles:
        if item.line:
            continue
        _, low, _, high = item.shape.bounds
        role = Role.HOT if item.hot else Role.ENGINE if item.with_engine else Role.BAY
        style = theme.style(role)
        for a, b in item.butt_lines:
            box = Rectangle((a, low - item.radius), b - a, high - low + 2 * item.radius)
            box.set(facecolor=style.stroke, alpha=0.1, edgecolor=style.stroke, linewidth=0.7, zorder=3)
            ax.add_patch(box)
    ax.axhline(r.grounds[0].nose.imag, color=theme.ink, linewidth=1.0, zorder=4)
    ax.set_title("from ahead", loc="left", pad=7, **lettering(theme, size=TEXT_SIZE, weight="bold"))


def _curve(ax: Axes, r: Results, values: Floats, name: str, theme: Theme) -> Any:
    swing = np.degrees(r.stroke.swing)
    dress(ax, theme, x="leg swing, deg")
    ax.set_title(name, loc="left", pad=5, **lettering(theme, size=TEXT_SIZE, weight="bold"))
    ax.plot(swing, np.where(np.isfinite(values), values, np.nan), color=theme.ink, linewidth=1.2, zorder=3)
    ax.axhline(0.0, color=theme.muted, linewidth=0.8, zorder=2)
    ax.set_xlim(min(float(swing.min()), 0.0) - 2, float(swing.max()) + 2)
    (mark,) = ax.plot([], [], marker="o", markersize=7, color=theme.style(Role.WORST).stroke, zorder=5)
    return mark


def _readout(run: Frames, i: int) -> list[str]:
    knee = run.knee[i]
    place = f"knee {knee:.1f} mm over centre" if knee > 0 else f"knee {-knee:.0f} mm folded"
    return [
        *([] if run.time is None else [f"time {run.time[i]:.2f} s"]),
        f"leg swing {round(run.swing_deg[i], 1) + 0.0:.1f} deg",
        f"actuator {run.length[i]:.1f} mm",
        f"push {run.push[i]:.0f} N at 1 g",
        *([place] if np.isfinite(knee) else []),
        f"least margin {run.margin[i]:.1f} mm",
    ]
