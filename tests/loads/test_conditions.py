"""Conditions are data: sets, own conditions, and what is refused with which words."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from linkage.document.conditions import ConditionEntry, condition_set, set_names
from linkage.errors import DocumentError
from linkage.loads.conditions import RELATIONS, conditions, inclination
from linkage.units import POUND
from tests.loads.bench import case
from tests.studies import OSTREL, changed

SKID = {"name": "skid", "rule": "own", "basis": "static", "factor": 1.5, "fore_aft": 0.5, "side": 0.25, "at": "contact"}


def own(**changes: Any) -> dict[str, Any]:
    return {"conditions": {"item": [SKID | changes]}}


def test_the_sets_that_come_with_the_package_are_sound() -> None:
    assert set_names() == ("cfr23-2015", "cs-vla")
    for name in set_names():
        found = condition_set(name)
        names = [c.name for c in found.condition]
        assert len(set(names)) == len(names)
        assert all(c.basis in RELATIONS for c in found.condition)


def test_default_set_is_part_23_of_2015_and_says_what_it_leaves_out() -> None:
    bench = case()
    loads = bench.loads()
    assert "14 CFR Part 23, 2015 edition (before amendment 64)" in loads.source
    rules = {load.condition.rule for load in loads.conditions}
    assert {"23.499(a)", "23.499(b)", "23.499(c)", "23.493", "23.479(a)(2)(i), Appendix C", "23.509"} <= rules
    assert any("23.511" in rule for rule, _ in loads.left_out)


def test_own_condition_joins_the_set_or_replaces_one_of_its_name() -> None:
    added = changed(own()).conditions.chosen
    assert [c.name for c in added][-1] == "skid"
    replaced = changed(own(name="aft load")).conditions.chosen
    assert len(replaced) == len(added) - 1
    assert next(c for c in replaced if c.name == "aft load").rule == "own"


def test_a_study_can_do_without_any_set() -> None:
    bench = case({"conditions": {"set": "none", "item": [SKID]}})
    loads = bench.loads()
    assert {load.condition.name for load in loads.conditions} == {"skid"}
    assert loads.of("aft load").brace == pytest.approx(case().loads().of("aft load").brace), "the reference stays"
    empty = case({"conditions": {"set": "none"}}).loads()
    assert empty.conditions == () and empty.governing == ()
    assert all(c.ultimate == 0.0 for c in empty.columns)


def test_own_condition_acts_as_it_is_written() -> None:
    """1.5 x static, half of it aft and a quarter to the right, at the ground."""
    (load,) = case({"conditions": {"set": "none", "item": [SKID]}}).loads().conditions
    bench = case()
    vertical = 1.5 * bench.nose_load
    pitch = bench.grounds[0].pitch
    aft = load.wheel[0] + vertical * pitch  # the ground's own aft, to first order in a pitch of 0.01 deg
    assert aft == pytest.approx(0.5 * vertical, rel=1e-6)
    assert load.wheel[1] == pytest.approx(0.25 * vertical)
    (at,) = [x.at for x in load.applied]
    assert at[[0, 2]] == pytest.approx([bench.grounds[0].nose.real, bench.grounds[0].nose.imag])


def test_ultimate_condition_is_not_raised_again() -> None:
    limit = case({"conditions": {"set": "none", "item": [SKID]}}).loads()
    ultimate = case({"conditions": {"set": "none", "item": [SKID | {"level": "ultimate"}]}}).loads()
    for a, b in zip(limit.governing, ultimate.governing, strict=True):
        assert a.limit is not None and a.ultimate == pytest.approx(1.5 * a.limit)
        assert b.limit is None and b.ultimate == pytest.approx(a.limit)


def test_k_runs_straight_between_its_weights_and_level_beyond() -> None:
    """14 CFR 23 Appendix C note 1: 0.25 up to 3000 lb, 0.33 from 6000 lb."""
    table = ((3000 * POUND, 0.25), (6000 * POUND, 0.33))
    pounds = {1000: 0.25, 3000: 0.25, 4500: 0.29, 6000: 0.33, 9000: 0.33}
    for weight, k in pounds.items():
        assert inclination(table, weight * POUND) == pytest.approx(k)
    assert inclination(0.25, 1.0) == 0.25


def test_strut_positions_are_parts_of_the_stroke() -> None:
    bench = case()
    made, _ = conditions(bench.study, bench.grounds)
    landing = next(c for c in made if c.rule.startswith("23.479"))
    assert landing.struts == (35.0, 140.0)
    assert next(c for c in made if c.rule == "23.493").struts == (bench.study.strut.static_compression,)


def test_tow_conditions_need_a_fitting() -> None:
    without = case({}, OSTREL)
    assert without.study.gear.leg.tow_fitting is None
    loads = without.loads()
    assert not any(load.condition.tow for load in loads.conditions)
    assert any(why == "the study has no gear.leg.tow_fitting" for _, why in loads.left_out)
    tow = SKID | {"at": "tow fitting"}
    with pytest.raises(DocumentError, match=r"gear\.leg\.tow_fitting"):
        case({"conditions": {"item": [tow]}}, OSTREL).loads()


def test_unknown_attitude_lists_those_there_are() -> None:
    with pytest.raises(DocumentError, match=r"conditions.item\[0\].attitude: 'kneeling'; expected one of static"):
        case(own(attitude="kneeling")).loads()
    case(own(attitude="bottomed")).loads()


@pytest.mark.parametrize(
    ("wrong", "field", "expected"),
    [
        ({"at": "hub"}, "conditions.item[0].at", "axle"),
        ({"basis": "guess"}, "conditions.item[0].basis", "static"),
        ({"factor": -2.25}, "conditions.item[0].factor", "greater than 0"),
        ({"factor": 0}, "conditions.item[0].factor", "greater than 0"),
        ({"factor": None}, "conditions.item[0].basis", "factor"),
        ({"mu": 0.8}, "conditions.item[0].mu", "factor"),
        ({"side": 7}, "conditions.item[0].side", "2"),
        ({"of": "mass"}, "conditions.item[0].of", "vertical"),
        ({"level": "proof"}, "conditions.item[0].level", "limit"),
        ({"strut": [1.5]}, "conditions.item[0].strut[0]", "1"),
        ({"strut": []}, "conditions.item[0].strut", "1"),
        ({"loads": "tow fitting"}, "conditions.item[0].at", "tow fitting"),
        ({"basis": "braked roll", "n": 1.33, "mu": -0.8, "factor": None}, "conditions.item[0].mu", "0"),
        (
            {"basis": "braked roll", "n": 1.33, "mu": 0.8, "factor": None, "of": "weight"},
            "conditions.item[0].of",
            "vertical",
        ),
        (
            {"basis": "level landing", "n": 2.67, "lift": 3, "k": 0.25, "factor": None},
            "conditions.item[0].lift",
            "2.67",
        ),
        (
            {"basis": "level landing", "n": 2.67, "lift": 0.5, "k": [[2, 0.25], [1, 0.33]], "factor": None},
            "conditions.item[0].k",
            "greater",
        ),
        ({"max_mass": -1}, "conditions.item[0].max_mass", "0"),
        ({"fore_and_aft": 1}, "conditions.item[0].fore_and_aft", "fore_aft"),
    ],
    ids=str,
)
def test_bad_condition(wrong: dict[str, Any], field: str, expected: str) -> None:
    entry = {k: v for k, v in (SKID | wrong).items() if v is not None}
    with pytest.raises(DocumentError) as caught:
        changed({"conditions": {"item": [entry]}})
    assert any(f.field == field and expected in f.expected for f in caught.value.faults), str(caught.value)


def test_unknown_set_and_twice_the_same_name() -> None:
    with pytest.raises(DocumentError, match=r"conditions\.set.*cfr23-2015, cs-vla, none"):
        changed({"conditions": {"set": "far-away"}})
    with pytest.raises(DocumentError, match="name 'skid' stands twice"):
        changed({"conditions": {"item": [SKID, SKID]}})
    with pytest.raises(DocumentError, match="safety_factor"):
        changed({"conditions": {"safety_factor": 0.5}})


@pytest.mark.parametrize(
    ("field", "wrong", "words"),
    [
        ("gear.leg.bearings", [184, -184], "left butt line below"),
        ("gear.leg.bearings", [10, 10], "left butt line below"),
        ("gear.leg.tow_fitting", [100, 200], "along, offset"),
        ("gear.leg.stations", [900], "at most gear.leg.length 594"),
        ("gear.leg.thrust_bearing", "middle", "pushed"),
        ("gear.brace.upper_section.area", 0, "greater than 0"),
        ("gear.brace.upper_section.length_factor", -1, "greater than or equal to 0.1"),
    ],
)
def test_bad_leg_and_link(field: str, wrong: Any, words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        changed({field: wrong})


def test_numbers_of_a_basis_belong_to_it() -> None:
    with pytest.raises(ValidationError):
        ConditionEntry(name="x", rule="r", basis="dynamic", factor=1.0)
    assert (
        RELATIONS["dynamic"](ConditionEntry(name="x", rule="r", basis="dynamic", factor=1, forward_g=0.33), 1.0).over
        == 0.33
    )
