"""Stance drawing, station map and map of two items: what they hold, not how they look."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from linkage.drawing.axes import new_figure
from linkage.drawing.baggage_chart import baggage_chart, margins, shown
from linkage.drawing.baggage_chart import title as map_title
from linkage.drawing.gallery import gallery
from linkage.drawing.limits import limit_line
from linkage.drawing.load_chart import load_chart, station_at
from linkage.drawing.palette import DARK, LIGHT
from linkage.drawing.save import png_bytes
from linkage.drawing.scene import Dimension, Disc, Leader, Path, Region, Role, Scene
from linkage.drawing.stance_scene import plan_scene, side_scene, stance_figure
from linkage.drawing.station_map import allowed, station_map
from linkage.drawing.station_map import title as station_title
from linkage.report.headline import full
from linkage.stations import nose_interval, site, station_plan
from tests.stance.results import ground_results as results
from tests.stance.springs import SPRINGS
from tests.studies import OSTREL, solution


def of(scene: Scene, kind: type, role: Role | None = None) -> list[Any]:
    return [i for i in scene.items if isinstance(i, kind) and (role is None or i.role is role)]


def test_side_view_shows_wheels_on_the_ground_and_the_worst_angle() -> None:
    r = results()
    scene, static = side_scene(r), r.grounds[0]
    (ground,) = of(scene, Path, Role.GROUND)
    along = (ground.points[1] - ground.points[0]) / abs(ground.points[1] - ground.points[0])
    wheels = [d for d in of(scene, Disc, Role.OUTLINE) if "wheel" in d.label]
    assert {w.label for w in wheels} == {"nose wheel", "main wheel 6.00-6"}
    for wheel in wheels:
        height = ((wheel.centre - ground.points[0]) * along.conjugate()).imag
        assert height == pytest.approx(wheel.radius, abs=1e-6)
    texts = scene.texts()
    assert "tip-back 16.0 deg, wanted ≥ 15" in texts
    assert f"wheelbase {static.wheelbase:.0f}" in texts
    assert {"240", "66"} <= set(texts)
    (cg,) = [i for i in of(scene, Region) if i.label == "CG of every loading"]
    for extreme in (r.share.cg.forward, r.share.cg.aft, r.share.cg.low, r.share.cg.high):
        assert cg.geometry.buffer(1e-6).covers(shapely.Point(extreme.case.fs_mm, extreme.case.wl_mm))


def test_dimensions_of_the_propeller_measure_the_clearance() -> None:
    r = results()
    drawn = {d.text: abs(d.a - d.b) for d in of(side_scene(r), Dimension)}
    assert drawn["240"] == pytest.approx(r.standing.clearance("static"), abs=1e-9)
    assert drawn["66"] == pytest.approx(r.standing.clearance("flat"), abs=1e-9)


def test_plan_view_measures_the_turnover_arm() -> None:
    r = results()
    scene = plan_scene(r)
    over = r.standing.turnover
    arm = next(d for d in of(scene, Dimension) if not d.text.startswith("track"))
    height = r.grounds[0].stance.height_mm(over.case.cg)
    assert height / abs(arm.a - arm.b) == pytest.approx(np.tan(over.value), rel=1e-12)
    assert any("turnover 52.7 deg" in i.text for i in of(scene, Leader))


def test_tail_and_springs_are_shown_where_given() -> None:
    r = results({"airframe.tail": [5900, 620], "springs": SPRINGS})
    texts = side_scene(r).texts()
    assert "tail contact 10.7 deg" in texts
    assert any(t.startswith("settled on its springs: nose share 13.3 to 18.5 %") for t in texts)
    assert not any("tail" in t or "settled" in t for t in side_scene(results()).texts())


def test_allowed_region_is_where_the_intervals_say() -> None:
    """Random places of the map against the exact interval of that row."""
    r = results()
    place = site(r.study, r.share.model, r.grounds[0], r.standing)
    plan = station_plan(place, 100.0)
    window = (500.0, 2540.0, 1100.0, 2710.0)
    region = allowed(plan, window)
    random = np.random.default_rng(3)
    inside = 0
    for x, y in random.uniform((500, 2540), (1100, 2710), (200, 2)):
        row = nose_interval(place, (y - r.stations.mains.chosen) / place.stance.direction.real)
        ends = row.forward, row.aft
        good = not row.empty and (not ends[0] or ends[0].at <= x) and (not ends[1] or x <= ends[1].at)
        edge = min(abs(x - b.at) for b in row.bounds)
        if edge > 0.5 and abs(y - plan.levels[0].at) > 0.5:
            assert region.covers(shapely.Point(x, y)) == good, (x, y)
            inside += good
    assert inside > 8


def test_titles_say_the_answer() -> None:
    assert station_title(results()).startswith("Nose wheel: FS 807 is 73.6 mm too far forward, allowed 881 to 900 mm")
    inside = results({"airframe.main_gear.contact": [2640, 0]})
    assert "Mains: FS 2640, allowed 2635 to 2645 mm" in station_title(inside)
    none = results({"limits.propeller": {"min": 300, "source": "test"}})
    assert "no station keeps every limit" in station_title(none)
    r = results({"loading.map": ["passenger", "baggage"]})
    assert map_title(r) == "baggage: up to 32 kg with any passenger, up to 45 kg with some, whatever else is loaded"


def test_map_margins_have_the_sign_of_the_map() -> None:
    r = results({"loading.map": ["passenger", "baggage"]})
    chart = r.loadings.map
    assert chart is not None
    worst = np.minimum.reduce(list(margins(r).values()))
    np.testing.assert_array_equal(worst >= 0, chart.allowed)


def test_a_limit_s_ticks_stand_on_the_bad_side() -> None:
    """Rendered: a horizontal line with its bad side above has more ink above than below, without its name."""
    for bad_left, more_above in ((True, True), (False, False)):
        figure = new_figure(400, 300)
        ax = figure.add_axes((0, 0, 1, 1))
        ax.set(xlim=(0, 10), ylim=(-1, 1))
        limit_line(ax, np.array([0.0, 10.0]), np.zeros(2), "x", LIGHT, bad_left=bad_left)
        for text in ax.texts:
            text.set_visible(False)
        ax.axis("off")
        figure.canvas.draw()
        dark = 255 - np.asarray(figure.canvas.buffer_rgba())[..., :3].astype(float).mean(axis=2)  # type: ignore[attr-defined]
        above, below = dark[:145].sum(), dark[155:].sum()
        assert (above > below) == more_above
        assert max(above, below) > 500


def test_band_lines_of_the_load_chart_stand_at_their_share() -> None:
    r = results()
    height = (r.share.cg.low.value + r.share.cg.high.value) / 2
    for share in (0.15, 0.2):
        assert r.grounds[0].stance.share(complex(station_at(r, share), height)) == pytest.approx(share, abs=1e-12)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_they_draw_with_hostile_names(theme) -> None:
    items = {
        "loading.item": [
            {"name": "$x_1$ <b>", "min": 0, "max": 40, "at": [3000, 900]},
            {"name": "a" * 200, "min": 5, "max": 60, "at": [2400, 800], "optional": True},
        ],
        "loading.map": ["$x_1$ <b>", "a" * 200],
    }
    r = results(items)
    assert shown(r)
    for draw in (baggage_chart, station_map, load_chart):
        figure = new_figure(700, 500, theme=theme)
        draw(r, figure.add_axes((0.1, 0.2, 0.85, 0.7)), theme)
        assert png_bytes(figure).startswith(b"\x89PNG")


def test_stance_figure_is_drawn_at_one_scale() -> None:
    figure = stance_figure(solution(OSTREL).results)
    figure.canvas.draw()
    scales = [ax.transData.transform([(0, 0), (100, 0), (0, 100)]) for ax in figure.axes]
    lengths = [float(np.hypot(*(s[k] - s[0]))) for s in scales for k in (1, 2)]
    assert max(lengths) == pytest.approx(min(lengths), rel=1e-6)


def test_gallery_and_results_carry_them() -> None:
    names = {p.name for p in gallery(results({"loading.map": ["passenger", "baggage"]}))}
    assert {"baggage-map", "stance", "station-map", "load-share"} <= names
    tables = full(replace(solution(), results=results({"springs": SPRINGS})))
    assert tables["standing"]["settled"]["share_min"]["nose_share"] == pytest.approx(0.133, abs=0.001)
    assert tables["stations"]["nose"]["forward"]["limit"] == "nose share >= 15 %"
    assert tables["tyre"]["grown_diameter_mm"] == pytest.approx(371.3, abs=0.1)
    assert len(tables["loading"]["fuel_burn"]) == 3
    json.dumps(tables, allow_nan=False)
