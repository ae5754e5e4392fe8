"""Bay items in the drawings: cut to the window, every one that is seen named once."""

from __future__ import annotations

from shapely.geometry import Point, box

from linkage.drawing.front_chart import linkages_figure
from linkage.drawing.gear_scene import bay
from linkage.drawing.scene import Disc, Path, Region, Role
from linkage.obstacles import Obstacle
from tests.studies import MERROW, solution

WINDOW = (0.0, 0.0, 100.0, 100.0)


def item(name: str, shape: object, radius: float = 0.0, **more: object) -> Obstacle:
    return Obstacle(name, shape, radius, ((-1.0, 1.0),), 5.0, False, frozenset(), **more)  # type: ignore[arg-type]


def test_a_slice_outside_takes_no_name() -> None:
    """Of an item of several slices the first one seen has the name, wherever the others are."""
    slices = [item("tail pipe", box(200, 200, 300, 300)), item("tail pipe", box(50, 50, 150, 90), hot=True)]
    (seen,) = bay([*slices, item("far", box(500, 0, 600, 10))], WINDOW)
    assert isinstance(seen, Region)
    assert (seen.label, seen.role) == ("tail pipe", Role.HOT)
    assert seen.geometry.equals(box(50, 50, 100, 90))


def test_round_items_and_lines() -> None:
    """A round item whose centre is outside is seen as far as it reaches; a line to stay above is a line."""
    line = item("floor", box(0, 0, 100, 10), line=(0 + 10j, 100 + 10j))
    near, far = item("pump", Point(105, 50), 10.0), item("gone", Point(105, 50), 3.0)
    disc, path = bay([near, far, line], WINDOW)
    assert isinstance(disc, Disc) and (disc.label, disc.radius) == ("pump", 10.0)
    assert isinstance(path, Path) and path.label == "floor"


def test_found_linkages_show_the_bay_of_the_review() -> None:
    """The names of all bay items in the picture, which slices outside of it had taken away."""
    r = solution(MERROW).results
    first = r.obstacles[0]
    outside = item(first.name, box(9e4, 9e4, 9.1e4, 9.1e4))
    figure = linkages_figure("x", [("present", r.gear, r.stroke)], [outside, *r.obstacles])
    words = " ".join(t.get_text().replace("\n", " ") for t in figure.axes[0].texts)
    shown = [o.name for o in r.obstacles if o.name in words]
    plainly = linkages_figure("x", [("present", r.gear, r.stroke)], r.obstacles)
    again = " ".join(t.get_text().replace("\n", " ") for t in plainly.axes[0].texts)
    assert first.name in words and shown == [o.name for o in r.obstacles if o.name in again]
