"""Two gears over one another: what a change moved."""

from __future__ import annotations

from linkage.drawing.gear_scene import bay, ground_line, pose, view_window
from linkage.drawing.scene import Item, Region, Role, Scene
from linkage.results import Results


def overlay(a: Results, b: Results) -> Scene:
    """The first study in phantom lines, the second in full, both gear down and up; keep-out of the second hatched."""
    frames = [view_window(a), view_window(b)]
    window = (
        min(f[0] for f in frames),
        min(f[1] for f in frames),
        max(f[2] for f in frames),
        max(f[3] for f in frames),
    )
    items: list[Item] = [Region(b.swept.keep_out.side_view, Role.KEEPOUT, "keep-out, second")]
    items += bay(b.obstacles, window)
    for driven in (0.0, a.stroke.driven_up):
        items += pose(a, driven, Role.TRANSIT)
    for driven in (b.stroke.driven_up, 0.0):
        items += pose(b, driven, Role.OUTLINE)
    items += ground_line(b, window)
    title = f"Phantom: {a.study.title}. Full: {b.study.title}"
    return Scene(tuple(items), title, f"Side views of two gears over one another. {title}.", window)
