"""Bay items whose shape is typed in the study: outlines, circles, and lines to stay above."""

from __future__ import annotations

from linkage.document.bay import BayItem
from linkage.obstacles.model import Obstacle

BELOW = 2000.0
"""mm by which the region under a line to stay above is taken to reach down: deeper than any gear."""


def typed(item: BayItem) -> Obstacle:
    """The item as drawn, exact."""
    from shapely.geometry import Point, Polygon

    line: tuple[complex, ...] = ()
    radius = 0.0
    if item.centre is not None:
        shape, radius = Point(*item.centre), item.radius or 0.0
    elif item.outline is not None:
        shape = Polygon(item.outline)
    else:
        corners = item.stay_above or ()
        line = tuple(complex(*p) for p in corners)
        floor = min(wl for _, wl in corners) - BELOW
        shape = Polygon([*corners, (corners[-1][0], floor), (corners[0][0], floor)])
    return made(item, shape, radius, item.butt_lines or (), line)


def made(
    item: BayItem,
    shape: object,
    radius: float,
    butt_lines: tuple[tuple[float, float], ...],
    line: tuple[complex, ...] = (),
) -> Obstacle:
    """An obstacle of that shape with everything else from the item."""
    return Obstacle(
        item.name,
        shape,
        radius,
        butt_lines,
        item.required.gap,
        item.when == "stowed",
        frozenset(item.ignore_parts),
        item.moves_with == "engine",
        item.hot,
        line,
    )
