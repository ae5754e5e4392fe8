"""The whole of the ground loads on the filed studies: what governs, what is kept, what must hold of every result."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.loads.envelope import QUANTITIES
from tests.loads.bench import case
from tests.studies import OSTREL


@pytest.mark.parametrize("path", [None, OSTREL])
def test_every_condition_is_closed_and_none_is_lost(path: object) -> None:
    bench = case() if path is None else case({}, OSTREL)
    loads = bench.loads()
    names = [c.name for c in bench.study.conditions.chosen if c.at != "tow fitting" or bench.study.gear.leg.tow_fitting]
    assert list(dict.fromkeys(load.condition.name for load in loads.conditions)) == names
    for load in loads.conditions:
        assert load.closure < 1e-12
        total = np.sum([x.force for x in load.airframe], axis=0)
        assert total == pytest.approx(load.wheel, abs=1e-9 * np.linalg.norm(load.wheel))


def test_governing_is_the_greatest_of_all_conditions() -> None:
    loads = case().loads()
    gear = [x for x in loads.conditions if not x.condition.tow]
    for g in loads.governing:
        if g.part == "tow fitting":
            continue
        measure = next(q.measure for q in QUANTITIES if (q.part, q.what) == (g.part, g.what))
        assert g.ultimate == pytest.approx(max(x.factor * measure(x)[0] for x in gear))
        assert g.limit is not None and g.ultimate == pytest.approx(1.5 * g.limit)


def test_no_single_condition_governs_the_demo() -> None:
    decides = {(g.part, g.what): g.load.condition.name for g in case().loads().governing}
    assert decides["drag brace", "compression"] == "aft load"
    assert decides["drag brace", "tension"] == "forward load"
    assert decides["leg", "side bending"].startswith("side load")
    assert decides["leg", "compression"] == "three-point level landing"


def test_tow_loads_govern_the_fitting_only() -> None:
    loads = case().loads()
    fitting = [g for g in loads.governing if g.part == "tow fitting"]
    assert len(fitting) == 1 and fitting[0].load.condition.tow
    assert fitting[0].limit == pytest.approx(0.3 * 750 * 9.80665)
    assert not any(g.load.condition.tow for g in loads.governing if g.part != "tow fitting")


def test_tow_load_acts_at_the_fitting_and_the_weight_at_the_axle() -> None:
    (tow,) = case({"gear.leg.tow_fitting": {"along": 560, "offset": -40}}).loads().under("tow aft")
    by_name = {x.name: x for x in tow.applied}
    bench = case()
    down = bench.gear.pins["trunnion"].at + (560 - 56) * bench.gear.down - 40 * bench.gear.aft
    assert by_name["tow fitting"].at[[0, 2]] == pytest.approx([down.real, down.imag])
    assert abs(by_name["tow fitting"].force[2]) < 1e-3 * by_name["tow fitting"].force[0]
    assert by_name["axle"].force[2] == pytest.approx(bench.nose_load, rel=1e-6)


def test_mirrored_side_loads_mirror_the_bearings() -> None:
    loads = case().loads()
    (right,), (left,) = loads.under("side load right"), loads.under("side load left")
    mirror = np.array([1.0, -1.0, 1.0])
    for a, b in (("trunnion left", "trunnion right"), ("trunnion right", "trunnion left")):
        one, other = right.at(a), left.at(b)
        assert one is not None and other is not None
        assert one.force == pytest.approx(mirror * other.force, abs=1e-9)
    assert right.brace == pytest.approx(left.brace)


def test_trunnion_side_load_moves_to_the_bearing_it_is_pushed_on() -> None:
    fixed = case({"gear.leg.thrust_bearing": "left"}).loads()
    (load,) = fixed.under("side load right")
    left, right = load.at("trunnion left"), load.at("trunnion right")
    assert left is not None and right is not None
    assert left.force[1] > 0 and right.force[1] == 0.0


def test_actuator_takes_nothing_while_the_lock_holds() -> None:
    for load in case().loads().conditions:
        root = load.at("actuator root")
        assert root is not None and not root.force.any() and not root.couple.any()
        assert root.at.tolist() == [800.0, 96.0, 752.0]
