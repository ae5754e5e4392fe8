"""Every wrong document gives one clear message with path, value and what was expected; all faults at once."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from linkage.document.reader import read
from linkage.errors import DocumentError, MechanismError
from linkage.solution import solve
from linkage.stroke import gear_and_stroke
from tests.studies import MERROW, OSTREL, changed

WEIGHING = {"cg_wl": 930, "reading": [{"name": "all", "reading": 478, "station": 2258, "per": "group"}]}

BAD: list[tuple[str, dict[str, Any], str, str]] = [
    ("knee before centre", {"gear.brace.over_centre": -2}, "gear.brace.over_centre", "above 0 mm"),
    ("knee on centre", {"gear.brace.over_centre": 0}, "gear.brace.over_centre", "above 0 mm"),
    ("mains ahead of the CG", {"airframe.main_gear.contact": [2300, 0]}, "main_gear.contact", "aft of FS 2375"),
    ("zero wheelbase", {"airframe.main_gear.contact": [840, 0]}, "main_gear.contact", "no wheelbase"),
    ("min above max", {"loading.item[0].min": 200}, "loading.item[0].min", "at most 110 kg"),
    ("cap below least mass", {"loading.max_mass": 400}, "loading.max_mass", "at least 536 kg"),
    ("self-crossing", {"bay.item[0].outline": [[0, 0], [9, 9], [9, 0], [0, 9]]}, "bay.item[0].outline", "cross"),
    ("zero width", {"bay.item[0].butt_lines": [[10, 10]]}, "bay.item[0].butt_lines", "low below high"),
    ("not a number", {"gear.leg.length": math.nan}, "gear.leg.length", "finite"),
    ("infinite", {"gear.leg.length": math.inf}, "gear.leg.length", "finite"),
    ("tyre below rim", {"tyre.outside_diameter": 100}, "tyre.outside_diameter", "larger than its rim"),
    ("inches in a mm file", {"gear.leg.length": 23.4}, "gear.leg.length", "looks like inches: 594.36 mm"),
    ("unknown key", {"gear.brace.uper_pin": [1, 2]}, "gear.brace.uper_pin", "'upper_pin'"),
    ("unknown pin", {"gear.part[0].centre": "axel"}, "gear.part[0].centre", "axle"),
    ("unknown part", {"bay.item[0].ignore_parts": ["wing"]}, "bay.item[0].ignore_parts", "tyre (grown)"),
    ("unknown unit", {"gear.leg.length": "23 furlong"}, "gear.leg.length", "mm, cm, m, in, ft"),
    ("missing key", {"tyre": {"size": "5.10-5", "width": 120}}, "tyre.rim_diameter", "a value"),
    ("unpublished size", {"tyre": {"size": "5.10-5"}}, "tyre.size", "one of 5.00-5, 6.00-6"),
    ("own numbers, no source", {"tyre": {"size": "5.00-5", "width": 120}}, "tyre.source", "a value"),
    (
        "tyre larger than the wheelbase",
        {"tyre.outside_diameter": 1900, "tyre.static_loaded_radius": 900},
        "tyre.outside_diameter",
        "smaller than 1782 mm",
    ),
    (
        "item without an arm",
        {"loading.item[3]": {"name": "baggage", "min": 0, "max": 45}},
        "loading.item[3].at",
        "a value",
    ),
    ("zero-fuel cap too low", {"loading.max_zero_fuel_mass": 500}, "loading.max_zero_fuel_mass", "at least 533 kg"),
    ("least mass out of reach", {"loading.min_mass": 800}, "loading.min_mass", "at most the mass cap 750 kg"),
    (
        "negative stiffness",
        {"springs.nose_tyre": {"rate": -5, "source": "x"}},
        "springs.nose_tyre.rate",
        "greater than 0",
    ),
    (
        "curve whose load turns back",
        {"springs.nose_strut": {"curve": [[0, 0], [900, 20], [800, 30]], "source": "x"}},
        "springs.nose_strut",
        "above 900 N",
    ),
    (
        "curve whose deflection turns back",
        {"springs.nose_strut": {"curve": [[0, 0], [900, 20], [1000, 10]], "source": "x"}},
        "springs.nose_strut",
        "at least 20 mm",
    ),
    (
        "strut curve longer than its stroke",
        {"springs.nose_strut": {"curve": [[0, 0], [900, 150]], "source": "x"}},
        "springs.nose_strut.curve",
        "at most 140 mm, the strut.stroke",
    ),
    (
        "main springs without their load",
        {"springs.main_tyre": {"rate": 90, "source": "x"}},
        "springs",
        "main_drawn_load",
    ),
    ("empty twice", {"loading.weighing": WEIGHING}, "loading.empty", "one of them"),
    ("map of an unknown item", {"loading.map": ["baggage", "dog"]}, "loading.map", "pilot, passenger, fuel, baggage"),
    ("burning baggage", {"loading.burn_order": ["baggage"]}, "loading.burn_order", "fuel"),
    ("two ways at once", {"gear.brace.knee": [943, 516]}, "gear.brace", "either knee"),
    ("wrong type", {"gear.folds": "sideways"}, "gear.folds", "aft"),
    ("strut", {"strut.static_compression": 900}, "strut.static_compression", "at most 140 mm"),
]


@pytest.mark.parametrize(("name", "changes", "field", "expected"), BAD, ids=[b[0] for b in BAD])
def test_fault_names_field_and_expectation(
    name: str, changes: dict[str, Any], field: str, expected: str, tmp_path: Path
) -> None:
    del name
    with pytest.raises(DocumentError) as caught:
        solve_changed(changes)
    text = str(caught.value)
    assert field in text
    assert expected in text


def test_all_faults_at_once() -> None:
    with pytest.raises(DocumentError) as caught:
        changed({"gear.brace.uper_pin": [1, 2], "loading.item[0].min": 200, "gear.leg.length": math.nan})
    assert len(caught.value.faults) == 3


IMPOSSIBLE: list[tuple[str, dict[str, Any], list[str]]] = [
    ("links cannot close", {"gear.brace.upper_link": 500}, ["327.76 mm", "180.00 mm", "622.87 mm", "115.12 mm"]),
    ("links too short", {"gear.brace.upper_link": 20}, ["cannot close", "shortest brace that closes is 147.76"]),
    ("jams in between", {"gear.brace.upper_link": 120}, ["stops at 67.3 deg of 92", "24.7 deg short", "167.9 mm"]),
    ("dead length", {"gear.actuator.dead_length": 200}, ["gear.actuator", "300.3", "136.1", "164.3 mm"]),
    ("reverses", {"gear.actuator.root": [1140, 700]}, ["reverses in mid-stroke at 44.6 deg", "dead point"]),
    ("wrong way", {"gear.folds": "forward"}, ["gear.folds", "does not swing forward"]),
]


@pytest.mark.parametrize(("name", "changes", "words"), IMPOSSIBLE, ids=[b[0] for b in IMPOSSIBLE])
def test_impossible_gear_says_where_and_by_how_much(name: str, changes: dict[str, Any], words: list[str]) -> None:
    del name
    with pytest.raises(MechanismError) as caught:
        solve_changed(changes)
    for word in words:
        assert word in str(caught.value)


def test_the_remedy_works() -> None:
    """The nearest upper link that the message names does reach leg-up, and a shorter one does not."""
    from linkage.stroke import gear_and_stroke

    gear_and_stroke(changed({"gear.brace.upper_link": 168.0, "gear.actuator.dead_length": 0}))
    with pytest.raises(MechanismError, match="stops at"):
        gear_and_stroke(changed({"gear.brace.upper_link": 167.8, "gear.actuator.dead_length": 0}))


@pytest.mark.parametrize("path", [Path("/nowhere/study.toml"), MERROW.parent])
def test_missing_file_and_directory(path: Path) -> None:
    with pytest.raises(DocumentError, match="study file"):
        read(path)


def test_broken_toml_is_named(tmp_path: Path) -> None:
    path = tmp_path / "study.toml"
    path.write_text("title = \n")
    with pytest.raises(DocumentError, match="line 1"):
        read(path)


def solve_changed(changes: dict[str, Any]) -> None:
    from linkage.document.reader import Source

    study = changed(changes)
    solve(Source(MERROW, "", "", study))


def test_a_holder_of_the_wrong_kind_is_a_fault() -> None:
    with pytest.raises(DocumentError, match=r"gear\.lock\.holds"):
        changed({"gear.lock.holds": 0})


@pytest.mark.parametrize("along", [0.0, 1e-9])
def test_an_actuator_without_an_arm_says_so(along: float) -> None:
    study = changed({"gear.actuator.pin.along": along}, OSTREL)
    with pytest.raises(MechanismError, match=r"gear\.actuator\.pin lies .* from the trunnion: no force moves the gear"):
        gear_and_stroke(study)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("gear.leg.swing_up", 1e-300),
        ("gear.leg.length", 10**400),
        ("gear.friction.coefficient", 1e308),
        ("keep_out.tolerance", 1e-9),
        ("gear.part[0].radius", 1e9),
        ("limits.nose_share.min", float("inf")),
    ],
)
def test_numbers_beyond_sense_are_faults(field: str, value: float) -> None:
    with pytest.raises(DocumentError) as caught:
        changed({field: value})
    assert [f.field for f in caught.value.faults] == [field]
