"""Trade studies between their points: what the pictures say agrees with the answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linkage.drawing.trade_charts import contours
from linkage.trade import Point, Trade, Vary
from linkage.trade.answer import answer, between, telling
from tests.trade.cases import demo, synthetic


def test_a_heading_stays_in_its_picture() -> None:
    long = "gap to " + 60 * "name " + ">= (gap), mm"
    points = tuple(
        Point(v, {"at_deg": v[0]}, {}, {long: v[0]}) for v in ((0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0))
    )
    varied = (Vary("gear.x", (0.0, 1.0), "mm", 0.0), Vary("gear.y", (0.0, 1.0), "mm", 0.0))
    figure = contours(answer(Trade("t", "0", (), varied, points, None)), long)
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    assert figure.axes[0]._left_title.get_window_extent(renderer).x1 < figure.bbox.x1  # type: ignore[attr-defined]


def test_where_a_least_lies_is_not_drawn_unasked() -> None:
    points = tuple(Point((v,), {"least_margin_mm": v, "least_margin_at_deg": 50 * v}) for v in (0.0, 1.0))
    assert telling(Trade("t", "0", (), (Vary("gear.x", (0.0, 1.0)),), points, None)) == ("least_margin_mm",)


def test_the_present_design_counts_where_no_point_is_good() -> None:
    between = replace(synthetic([-1, -2], (0, 4)), varies=(Vary("gear.x", (0.0, 4.0), "mm", 2.0),))
    assert answer(between).sentence.endswith("short in the present design, only the present design does")
    found = answer(between).with_present
    more = found.trade
    assert more.varies[0].values == (0.0, 2.0, 4.0)
    assert more.result("least_margin_mm").tolist() == [-1.0, 1.0, -2.0]
    (x,), left = found.edge
    assert (x[left >= 0][0], x[left >= 0][-1]) == (1.0, pytest.approx(2.667, abs=0.1))
    beside = replace(between, varies=(Vary("gear.x", (0.0, 4.0), "mm", 5.0),))
    assert answer(beside).with_present.trade is beside


def test_a_margin_of_nothing_is_kept_between_the_points_too() -> None:
    trade = synthetic([0, 0, -1, -1], (0, 1), (0, 1))
    (_, y), left = answer(trade).edge
    assert np.all(left[0] > 0)
    assert np.all(left[1:][:, y == 0.0] < 0)


def test_beside_what_is_not_computed_a_place_is_like_the_nearest_point() -> None:
    trade = synthetic([1, -1, None, -1, -1, None], (0, 1), (0, 1, 2))
    (_, y), left = answer(trade).edge
    how = answer(trade).state
    assert set(how[:, y > 1.55].ravel()) == {0.0}
    assert set(how[:, (y > 1.0) & (y < 1.45)].ravel()) == {-1.0}
    assert how[0, 0] == 1.0 and how[-1, -1] == 0.0
    assert np.isnan(left[:, y > 1.0]).all()


def test_the_least_of_margins_is_the_least_between_the_points_too() -> None:
    """One falls as the other rises: straight lines between the least would cut the top off."""
    points = tuple(
        Point((x,), {"least_margin_mm": min(a, b)}, {}, {"gap to a >= (gap), mm": a, "gap to b >= (gap), mm": b})
        for x, a, b in ((0.0, -4.0, 4.0), (1.0, 4.0, -4.0))
    )
    trade = Trade("t", "0", (), (Vary("gear.x", (0.0, 1.0), "mm", 0.0),), points, None)
    (x,), values = between(trade, "least_margin_mm")
    assert values == pytest.approx(-4.0 + 8.0 * np.minimum(x, 1.0 - x))
    real = demo()
    gaps = [name for name in real.findings if name.endswith("(gap), mm")]
    assert np.array_equal(
        np.fmin.reduce([real.result(g) for g in gaps]), real.result("least_margin_mm"), equal_nan=True
    )
