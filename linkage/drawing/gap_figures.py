"""The tightest pairs, each at the pose at which its least gap is reached, as a close-up of the side view."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from linkage.clearance import Gap
from linkage.drawing.axes import new_figure
from linkage.drawing.gear_scene import bay, gap_mark, part_shape, pose
from linkage.drawing.paint import paint
from linkage.drawing.palette import LIGHT, Theme
from linkage.drawing.scene import Item, Role, Scene
from linkage.results import Results

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LEAST_VIEW = 420.0
"""mm of aircraft shown across a close-up at least; a wider gap is shown with as much again on either side."""


def tightest(r: Results, count: int = 3) -> tuple[Gap, ...]:
    """The worst pair of each of the ``count`` tightest bay items, least margin first."""
    return r.clearance.per_item()[:count]


def gap_scene(r: Results, gap: Gap, aspect: float = 1.0) -> Scene:
    """Gear at the pose of the least gap, the part thick, the gap dimensioned. ``aspect``: width over height shown."""
    a, b = gap.ends
    height = max(LEAST_VIEW, 3.0 * abs(a - b))
    middle, half = (a + b) / 2, complex(height * aspect, height) / 2
    low, high = middle - half, middle + half
    window = (low.real, low.imag, high.real, high.imag)
    items: list[Item] = [*bay(r.obstacles, window), *pose(r, gap.driven, Role.OUTLINE)]
    part = next((p for p in r.gear.parts if p.name == gap.part), None)
    if part is not None:
        items.append(part_shape(r, part, gap.driven, Role.WORST, gap.part))
    return Scene((*items, *gap_mark(gap)), title(gap), caption(gap), window)


def title(gap: Gap) -> str:
    """The answer in one line."""
    place = f"at {math.degrees(gap.swing) + 0.0:.1f} deg"
    return f"{gap.part} to {gap.item}: {gap.gap:.1f} mm, required {gap.required:g}, {place}"


def caption(gap: Gap) -> str:
    """Alternative text."""
    return f"Close-up of the side view at the pose of the least gap. {title(gap)}."


def gap_figure(r: Results, gap: Gap, theme: Theme = LIGHT) -> Figure:
    """A close-up of 88 x 100 mm of paper, three of which stand side by side on A4 landscape."""
    figure = new_figure(346, 394, theme=theme)
    axes = figure.add_axes((0.16, 0.115, 0.81, 0.86))
    paint(gap_scene(r, gap, 0.81 * 346 / (0.86 * 394)), axes, theme, text_size=7.0, title=False)
    return figure
