"""The leg diagram shows every condition of the whole gear, at limit level, and nothing where there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from linkage.drawing.axes import new_figure
from linkage.drawing.gallery import gallery
from linkage.drawing.leg_loads import PANELS, caption, drawn, leg_figure, values
from linkage.results import Results
from tests.studies import OSTREL, solution


@pytest.mark.parametrize("results", [solution().results, solution(OSTREL).results], ids=["merrow", "ostrel"])
def test_every_condition_stands_in_every_panel_and_in_the_key(results: Results) -> None:
    figure = leg_figure(results, new_figure(1500, 720))
    *panels, key = figure.axes
    lines = drawn(results)
    assert len(panels) == 4
    for panel, ax in zip(PANELS, panels, strict=True):
        curves = [line for line in ax.lines if len(line.get_xdata()) == len(lines[0].leg.station)]
        assert len(curves) == len(lines)
        for curve, load in zip(curves, lines, strict=True):
            assert list(curve.get_xdata()) == pytest.approx(list(values(load, panel)))
        low, high = ax.get_ylim()
        assert low > high, "the trunnion is on top"
    named = " ".join(text.get_text() for text in key.texts)
    assert all(load.condition.name in named for load in lines)
    looks = {(line.get_color(), line.get_marker(), str(line.get_linestyle())) for line in key.lines}
    assert len(looks) == len(lines)
    assert "limit" in caption(results)


def test_no_condition_no_picture() -> None:
    results = solution().results
    assert "leg-loads" in [picture.name for picture in gallery(results)]
    tow_only = [load for load in results.loads.conditions if load.condition.tow]
    for kept in ((), tuple(tow_only)):
        bare = replace(results, loads=replace(results.loads, conditions=kept))
        assert "leg-loads" not in [picture.name for picture in gallery(bare)]


def test_ultimate_condition_is_drawn_at_limit() -> None:
    load = solution().results.loads.conditions[1]
    other = replace(load, condition=replace(load.condition, level="ultimate"))
    assert values(other, PANELS[0]) == pytest.approx(values(load, PANELS[0]) / load.factor)
