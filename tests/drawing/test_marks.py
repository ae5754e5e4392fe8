"""Line work in mm of paper: dimensions that find their place, hatching of true spacing, springs and pins, no NaN."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, box

from linkage.drawing import marks
from linkage.drawing.ink import Ink
from linkage.drawing.palette import Hatch


def ink_with_ground() -> Ink:
    ink = Ink(100, 80)
    ink.lines[ink.along(LineString([(5, 40), (95, 40)]))] = 1.0
    return ink


def test_a_dimension_along_a_line_steps_off_it() -> None:
    for b in (45 + 40j, 80 + 40j):
        layout = marks.dimension(40 + 40j, b, None, ink_with_ground())
        tips = [ring[0] for ring in layout.marks.solid]
        assert all(abs(tip.imag - 40) >= 8 for tip in tips)
        assert [tip.real for tip in tips] == pytest.approx([40, b.real])


def test_a_tight_gap_stays_where_it_is_with_arrows_from_outside() -> None:
    layout = marks.dimension(50 + 20j, 50.4 + 20j, None, ink_with_ground())
    left, right = layout.marks.solid
    assert (left[0], right[0]) == (50 + 20j, 50.4 + 20j)
    assert left[1].real < 50 and right[1].real > 50.4


def test_a_long_dimension_points_outwards_and_has_extension_lines() -> None:
    layout = marks.dimension(20 + 20j, 60 + 20j, 10.0, Ink(100, 80))
    left, right = layout.marks.solid
    assert (left[0], right[0]) == (20 + 30j, 60 + 30j)
    assert left[1].real > 20 and right[1].real < 60
    assert len(layout.marks.thin) == 3


def test_hatching_has_its_spacing_and_stays_inside() -> None:
    area = box(3, 4, 43, 34)
    lines = marks.hatching(area, Hatch(45, 2.0))
    assert lines.length == pytest.approx(area.area / 2.0, rel=0.03)
    assert area.buffer(1e-9).contains(lines)
    both = marks.hatching(area, Hatch(45, 2.0, crossed=True))
    assert both.length == pytest.approx(area.area, rel=0.03)
    assert marks.hatching(shapely.Polygon(), Hatch(45, 2.0)).is_empty


def test_signs_are_finite() -> None:
    points = [*marks.spring(0j, 40 + 10j, 2.0), *marks.spring(1j, 1j, 2.0), *marks.arrow(1 + 1j, -3j)]
    for fixed in (True, False):
        points += [z for line in (*marks.pin(5 + 5j, fixed).thin, *marks.pin(5 + 5j, fixed).open) for z in line]
    points += [z for line in marks.dimension(1 + 1j, 1 + 1j, None, Ink(10, 10)).marks.thin for z in line]
    assert np.isfinite(np.array(points)).all()


def test_the_ground_has_ticks_below_it() -> None:
    ticks = marks.ground_ticks([0j, 30 + 0j], spacing=3.0)
    assert len(ticks) == 10
    assert all(foot.imag == 0 and end.imag < 0 for foot, end in ticks)
