"""Monte Carlo against the straight-line spread, against the full solver, and the same for any number of workers."""

from __future__ import annotations

import math
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import truncnorm

from linkage.crew import Workers
from linkage.errors import DocumentError
from linkage.lock import lock_travel
from linkage.sensitivity import sensitivity
from linkage.tolerance import setting, spread, wilson
from linkage.tolerance.followed import (
    DEAD,
    DRIVEN_UP,
    GAP,
    LENGTH_DOWN,
    OFFSET,
    SELF_GAP,
    SHARE_MAX,
    SHARE_MIN,
    SWING,
    TILT,
    TRAVEL,
    is_gap,
)
from linkage.tolerance.model import drawn
from linkage.tolerance.results import NO_LOCK, judge
from linkage.tolerance.search import slopes
from tests.studies import MERROW, OSTREL, changed, solution
from tests.tolerance.bench import merrow, ostrel
from tests.tolerance.chain import solved

SMALL = {
    "tolerances.link_length": 0.002,
    "tolerances.pin_position": 0.002,
    "tolerances.knee_stop": 0.002,
    "tolerances.axle": 0.002,
    "tolerances.actuator_length": 0.002,
    "tolerances.actuator_stroke": 0.002,
    "tolerances.spring_force": 0.002,
    "tolerances.empty_mass": 0.02,
    "tolerances.empty_cg": 0.02,
    "state": [
        {"name": "tyre new, engine moving", "tyre": "new", "engine": "moving"},
        {"name": "any", "strut": "any"},
        {"name": "turned", "turned": 20, "judged": "contact"},
    ],
    "tolerances.pin_clearance_new": 0,
    "tolerances.pin_clearance_worn": 0,
}
"""So small that everything is straight."""

PINS = (("trunnion", "trunnion"), ("brace.upper_pin", "upper pin"), ("actuator.root", "actuator root"))


def test_the_drawn_gear_is_the_solved_one() -> None:
    for base, path in ((merrow(), MERROW), (ostrel(), OSTREL)):
        r = solution(path).results
        found = judge(base, base.plan.none()).values
        assert found[OFFSET][0] == pytest.approx(r.gear.locking.shape.over_centre, abs=1e-9)
        assert found[TILT][0] == pytest.approx(math.degrees(r.steering.tilt), abs=1e-9)
        assert found[DRIVEN_UP][0] == pytest.approx(math.degrees(r.stroke.driven_up), abs=1e-7)
        assert found[SWING][0] == pytest.approx(math.degrees(r.gear.swing_up), abs=1e-7)
        assert found[TRAVEL][0] == pytest.approx(base.plan.study.gear.actuator.travel_left_at_lock, abs=1e-9)
        assert found[SHARE_MIN][0] == pytest.approx(100 * r.share.ground.share_min.value, abs=1e-9)
        assert found[SHARE_MAX][0] == pytest.approx(100 * r.share.ground.share_max.value, abs=1e-9)
        for gap in r.clearance.per_item():
            assert gap.gap - 1e-6 <= found[f"{GAP}{gap.item}, mm"][0] <= gap.upper + 0.01, gap.item


def test_travel_from_dead_centre_is_that_of_each_gear_built_alone() -> None:
    base = merrow()
    by = drawn(base.plan.dimensions, len(base.plan.pins), base.plan.study.tolerances, 5, 11)
    found = judge(base, by).values[DEAD]
    for i in range(by.count):
        alone = solved(base, by.part([i]), MERROW.parent)
        travel = lock_travel(alone.gear, alone.stroke, 0.0)
        assert travel is not None
        assert found[i] == pytest.approx(travel.dead_travel, abs=1e-6)
    assert DEAD not in judge(ostrel(), ostrel().plan.none()).values  # its actuator is driven back


@pytest.mark.parametrize("distribution", ["uniform", "normal"])
def test_small_tolerances_spread_as_straight_lines_say(distribution: str) -> None:
    """sigma^2 = sum of (slope x sigma of the dimension)^2."""
    study = changed(SMALL | {"tolerances.distribution": distribution})
    base, n = setting(study, MERROW.parent), 8000
    found = spread(base, n, 4)
    sigmas = study.tolerances.sigmas
    share = 1 / math.sqrt(3) if distribution == "uniform" else truncnorm.std(-sigmas, sigmas) / sigmas
    own = share * np.array([d.limit for d in base.plan.dimensions])
    for s in found.statistics:
        if s.name in ("axle up, off its place, mm",) or "against" in s.name:
            continue  # a distance from a point is not straight; without play it is the offset itself
        slope = slopes(base, s.name).sizes
        expected = math.sqrt(float(np.sum((slope * own) ** 2)))
        if expected < 1e-9:
            assert s.deviation < 1e-8, s.name
            continue
        assert s.deviation == pytest.approx(expected, rel=0.03), s.name  # 3.5 x the scatter 1 / sqrt(2 n)
        assert s.mean == pytest.approx(s.drawn, abs=4.5 * expected / math.sqrt(n)), s.name


def test_play_alone_spreads_as_straight_lines_say() -> None:
    """Anywhere on a circle of radius c/2, each coordinate has the variance (c/2)^2 / 2."""
    base = merrow()
    by = base.plan.none(6000)
    rng = np.random.default_rng(8)
    by.play[:] = 0.002 * np.exp(2j * np.pi * rng.random(by.play.shape))
    by.play[:, base.plan.pins.index("knee")] = 0.0  # there the lesser of two holes counts: a kink
    found = judge(base, by).values
    for name in (OFFSET, TILT, TRAVEL, SWING, f"{GAP}firewall, mm", f"{GAP}oil cooler, mm"):
        slope = slopes(base, name).play
        slope[base.plan.pins.index("knee")] = 0.0
        expected = 0.002 / math.sqrt(2) * math.sqrt(float(np.sum(np.abs(slope) ** 2)))
        assert found[name].std() == pytest.approx(expected, rel=0.04), name


def test_gaps_near_the_drawn_places_are_those_of_the_full_clearance() -> None:
    """Exact gears at watched places against the proved least gap over the whole stroke (bracket 0.05 mm)."""
    study, base = changed({}), merrow()
    by = drawn(base.plan.dimensions, len(base.plan.pins), study.tolerances, 3, 21)
    found = judge(base, by).values
    worst = 0.0
    for i in range(by.count):
        clear = solved(base, by.part([i]), MERROW.parent).clear
        for g in (*clear.per_item(), clear.own[0]):
            ours = float(found[SELF_GAP if g is clear.own[0] else f"{GAP}{g.item}, mm"][i])
            assert g.gap - 0.005 <= ours <= g.gap + 0.06, g.item
            worst = max(worst, ours - g.gap)
    assert worst > 0  # the proved bound lies below


def test_thick_surfaces_hide_no_place_that_may_be_the_least() -> None:
    """The places followed have the least gap of all places, of every gear: wide tolerances of the surfaces count."""
    base = setting(changed({"tolerances.part_size": 4}), MERROW.parent)
    by = drawn(base.plan.dimensions, len(base.plan.pins), base.plan.study.tolerances, 1024, 5)
    followed = judge(base, by).values
    every = judge(replace(base, watches=base.all_watches), by).values
    assert len(base.watches) < len(base.all_watches)
    for name in followed:
        if is_gap(name):
            assert np.array_equal(followed[name], every[name]), name


def test_the_same_for_any_number_of_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["linkage.tolerance.spread"], "BATCH", 150)  # a function has the module's name
    base = merrow()
    alone = spread(base, 500, 9)
    with ThreadPoolExecutor(3) as threads, Workers(2) as two:
        others = [spread(base, 500, 9, threads), spread(base, 500, 9, two)]
    for other in others:
        for name, values in alone.values.items():
            assert np.array_equal(values, other.values[name]), name
    assert not np.array_equal(spread(base, 500, 10).values[OFFSET], alone.values[OFFSET])


def test_gears_that_cannot_be_are_counted() -> None:
    study = changed({"tolerances.link_length": 60, "tolerances.pin_position": 60, "tolerances.knee_stop": 0})
    found = spread(setting(study, MERROW.parent), 400, 2)
    assert found.failures[NO_LOCK] > 0
    assert sum(found.failures.values()) < 400
    assert found.locks is not None
    assert found.locks.of == 400
    assert found.locks.count <= 400 - found.failures[NO_LOCK]
    for s in found.statistics:
        if s.short is not None:
            assert s.short.of == 400
            assert s.short.count >= sum(found.failures.values()), s.name


def test_wilson_interval() -> None:
    half, none = wilson(5, 10), wilson(0, 20)
    assert (half.low, half.high) == pytest.approx((0.2366, 0.7634), abs=5e-5)  # CALC by hand from the formula
    assert (none.low, none.high) == pytest.approx((0.0, 0.161125), abs=5e-7)
    assert wilson(20, 20).high == 1.0


def test_refusals() -> None:
    nothing = dict.fromkeys(("link_length", "pin_position", "knee_stop", "pin_clearance_new", "pin_clearance_worn"), 0)
    with pytest.raises(DocumentError, match="every tolerance is 0"):
        setting(changed({f"tolerances.{k}": v for k, v in nothing.items()} | {"state": []}), MERROW.parent)
    with pytest.raises(DocumentError, match=r"--samples: 99; expected at least 100"):
        spread(merrow(), 99, 1)
    with pytest.raises(DocumentError, match=r"--seed"):
        spread(merrow(), 100, -1)
    with pytest.raises(DocumentError, match=r"tolerances\.link_length"):
        changed({"tolerances.link_length": -0.1})
    with pytest.raises(DocumentError, match=r"pin_clearance_worn.*below.*at least 0\.4"):
        changed({"tolerances.pin_clearance_new": 0.4})
    with pytest.raises(DocumentError, match=r"tolerances\.spring_force"):
        changed({"tolerances.spring_force": 1.5})


def test_surfaces_and_butt_lines_come_off_the_gap() -> None:
    base = setting(changed({"tolerances.part_size": 0.5, "tolerances.bay_item": 1.0}), MERROW.parent)
    by = base.plan.none()
    by.sizes[0, base.plan.index("surface of tyre (grown)")] = 0.5
    by.sizes[0, base.plan.index("surface of bay item firewall")] = 1.0
    by.sizes[0, base.plan.index("surface of bay item exhaust tailpipe R")] = -1.0
    plain, found = (judge(base, d).values for d in (base.plan.none(), by))
    for item, less in (("firewall", 1.5), ("exhaust tailpipe R", -0.5), ("cowl aft lip", 0.5), ("forward arms", 0.0)):
        name = f"{GAP}{item}, mm"
        assert plain[name][0] - found[name][0] == pytest.approx(less, abs=1e-9), item


def test_rigged_on_the_aircraft() -> None:
    """What the build does to the locked length is taken out; play still acts."""
    base = merrow()
    rigged = setting(changed({"tolerances.rigged": True}), MERROW.parent)
    by = drawn(base.plan.dimensions, len(base.plan.pins), base.plan.study.tolerances, 200, 3)
    sizes_only = base.plan.tight(by.sizes)
    assert judge(rigged, sizes_only).values[TRAVEL] == pytest.approx(2.0, abs=1e-9)
    assert judge(base, sizes_only).values[TRAVEL].std() > 0.3
    assert 0.05 < judge(rigged, by).values[TRAVEL].std() < judge(base, by).values[TRAVEL].std()


def test_slopes_are_the_exact_derivatives() -> None:
    """Central differences of families against implicit differentiation, where both mean the same dimension."""
    exact = sensitivity(solution(MERROW), ["steer_axis_tilt_deg", "actuator_length_down_mm", "nose_share_min"])
    same = {f"gear.{pin}[{i}]": f"{name} {axis}" for pin, name in PINS for i, axis in enumerate(("FS", "WL"))}
    same |= {"gear.brace.lug.along": "lug along", "gear.brace.lug.offset": "lug across"}
    compared = 0
    for result, ours, factor in (
        ("steer_axis_tilt_deg", TILT, 1.0),
        ("actuator_length_down_mm", LENGTH_DOWN, 1.0),
        ("nose_share_min", SHARE_MIN, 100.0),
    ):
        slope = slopes(merrow(), ours).sizes
        for row in exact.line(result).rows:
            if row.dimension.path in same:
                found = slope[merrow().plan.index(same[row.dimension.path])]
                assert found == pytest.approx(factor * row.derivative, rel=1e-5, abs=1e-8), (result, row.dimension.path)
                compared += 1
    assert compared >= 12
