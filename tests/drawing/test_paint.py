"""Pictures: equal scale, names with units on the axes, and labels that keep clear of each other and of lines."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from shapely.geometry import MultiPolygon, Polygon, box

from linkage.drawing.animation import redraw
from linkage.drawing.axes import new_figure
from linkage.drawing.labels import letter
from linkage.drawing.paint import fit, outline_of, paint
from linkage.drawing.palette import DARK, LIGHT
from linkage.drawing.scene import Bar, Dimension, Disc, Leader, Note, Path, PinMark, Region, Role, Scene
from tests.drawing.crowd import crowded


def axes(width: int = 1200, height: int = 900) -> Axes:
    return new_figure(width, height).add_axes((0.06, 0.06, 0.92, 0.88))


def boxes(ax: Axes) -> dict[str, Polygon]:
    """The texts of a painted axes and their boxes in pixels."""
    renderer = RendererAgg(8, 8, ax.figure.dpi)  # type: ignore[no-untyped-call,union-attr]
    shown = [t for t in ax.texts if t.get_visible()]
    return {t.get_text(): box(*t.get_window_extent(renderer).extents) for t in shown}


@pytest.fixture(scope="module")
def painted() -> Axes:
    """One crowded picture for all tests that only look."""
    return paint(crowded(), axes())


@pytest.mark.parametrize("size", [(1600, 1200), (1000, 700)])
def test_labels_of_a_crowded_picture_keep_clear(size: tuple[int, int]) -> None:
    ax = paint(crowded(), axes(*size))
    found = boxes(ax)
    assert len(found) == 31, sorted(found)
    frame = box(*ax.get_window_extent(RendererAgg(8, 8, 100)).extents)  # type: ignore[no-untyped-call]
    for (name, a), (other, b) in combinations(found.items(), 2):
        assert a.intersection(b).area == 0, (name, other)
    for name, a in found.items():
        assert frame.contains(a), name


def test_labels_avoid_the_outlines_of_parts(painted: Axes) -> None:
    scene, ax = crowded(), painted
    edges = [ax.transData.transform_path(outline_of(i)) for i in scene.items if isinstance(i, Path | Disc | Bar)]
    found = boxes(ax)
    crossed = {name for name, area in found.items() for path in edges if _crosses(path, area)}
    assert len(crossed) <= 1, crossed


def _crosses(path, area: Polygon) -> bool:  # type: ignore[no-untyped-def]
    from shapely.geometry import LineString

    return any(LineString(p).intersects(area) for p in path.to_polygons(closed_only=False) if len(p) > 1)


def test_leaders_do_not_run_through_labels() -> None:
    ax = axes()
    scene = crowded()
    lettered = letter(scene, ax, fit(ax, scene.extent(), 0.0), LIGHT, 8.5)
    from shapely.geometry import LineString

    for text in lettered.texts:
        for other in lettered.texts:
            if other is not text and text.leader:
                line = LineString([(z.real, z.imag) for z in text.leader])
                assert line.intersection(other.box.buffer(-0.5)).length < 0.5, (text.artist, other.artist)


def test_placement_is_the_same_every_time(painted: Axes) -> None:
    again = paint(crowded(), axes())
    assert [t.get_position() for t in painted.texts] == [t.get_position() for t in again.texts]


def test_shapes_on_one_another_share_a_label(painted: Axes) -> None:
    found = boxes(painted)
    assert "exhaust tailpipe R\nexhaust tailpipe L" in found


def test_equal_scale_and_names_with_units(painted: Axes) -> None:
    ax = painted
    assert ax.get_xlabel() == "FS, mm (aft +)"
    assert ax.get_ylabel() == "WL, mm (up +)"
    one = ax.transData.transform([(0, 0), (100, 0), (0, 100)])
    assert one[1, 0] - one[0, 0] == pytest.approx(one[2, 1] - one[0, 1], rel=1e-9)
    assert ax.get_title(loc="left") == crowded().title
    assert paint(Scene((), "unseen"), axes(), title=False).get_title(loc="left") == ""
    assert ax.get_label() == crowded().caption


def test_a_name_stands_inside_when_there_is_room() -> None:
    scene = Scene((Path((0, 100, 100 + 80j, 80j), True, Role.BAY, "oil cooler"),))
    ax = paint(scene, axes(600, 500))
    text = ax.texts[0]
    assert 20 < text.get_position()[0] < 80
    assert 15 < text.get_position()[1] < 65
    assert not [c for c in ax.collections if c.get_zorder() >= 8], "no leader is needed"


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_empty_and_odd_scenes_paint(theme: object) -> None:
    odd = (
        Region(Polygon(), Role.SWEPT, "nothing"),
        Region(MultiPolygon([box(0, 0, 1, 1), box(3, 0, 4, 2).difference(box(3.2, 0.2, 3.8, 1.8))]), Role.HOT, "two"),
        Path((0, 2 + 2j, 2, 2j), True, Role.BAY, "self-crossing"),
        Bar(1, 1, 0.2, Role.SPRING, "no length"),
        Dimension(1, 1, "zero"),
        Disc(500, 1e-6, Role.WORST, "far away and tiny"),
        PinMark(-900, "off the picture"),
        Leader(-900, "off the picture too"),
        Note("a note with a place", 1 + 1j),
        Path((-5 + 0.1j, 9 + 0.1j), False, Role.GROUND, "ground"),
    )
    for scene in (Scene(()), Scene(odd, window=(-1, -1, 6, 4)), Scene(odd), Scene((Note("alone"),))):
        frame = redraw(paint(scene, axes(300, 240), theme).figure)  # type: ignore[arg-type]
        assert frame.shape == (240, 300, 4)


def test_long_names_on_a_small_picture_still_end_up_inside() -> None:
    scene = Scene(tuple(Disc(40 * k + 20j, 15, Role.BAY, f"{k} " + "very long name " * 20) for k in range(6)))
    ax = paint(scene, axes(500, 350))
    frame = box(*ax.get_window_extent(RendererAgg(8, 8, 100)).extents).buffer(2)  # type: ignore[no-untyped-call]
    assert all(frame.contains(b) for b in boxes(ax).values())


def test_works_on_a_figure_without_a_canvas_of_its_own_and_leaves_no_global_figure() -> None:
    figure = Figure()
    paint(Scene(crowded().items[-12:]), figure.add_subplot())
    import matplotlib._pylab_helpers as helpers

    assert not helpers.Gcf.figs
    assert all(isinstance(t, Text) for t in figure.axes[0].texts)


def test_outline_of_a_disc_is_round() -> None:
    path = outline_of(Disc(10 + 5j, 186))
    radii = np.hypot(path.vertices[:, 0] - 10, path.vertices[:, 1] - 5)
    assert radii.min() > 186 * (1 - 1e-9)
