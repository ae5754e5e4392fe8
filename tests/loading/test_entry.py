"""The document's loading: weighed instead of given, compartments, least mass, faults by the document's own names."""

from __future__ import annotations

from typing import Any

import pytest

from linkage.document.reader import parse
from linkage.errors import DocumentError
from linkage.loading import cg_range
from linkage.loading.entry import load_model, weighed
from tests.studies import OSTREL, changed, table

READINGS = [
    {"name": "nose", "reading": 84.5, "tare": 2.5, "station": -1815.1, "per": "wheel"},
    {"name": "left main", "reading": 211.0, "tare": 4.0, "station": 0, "bl": -990, "per": "leg"},
    {"name": "right main", "reading": 209.0, "tare": 4.0, "station": 0, "bl": 990, "per": "leg"},
]
RECORD: dict[str, Any] = {
    "datum_fs": 2622,
    "cg_wl": 930,
    "source": "invented",
    "reading": READINGS,
    "correction": [{"name": "fuel aboard", "mass": -16.0, "station": -247}],
}


def study_weighed(record: dict[str, Any], **more: Any):
    plain = table()
    del plain["loading"]["empty"]
    plain["loading"] |= {"weighing": record, **more}
    return parse(plain)


def test_a_weighing_takes_the_place_of_the_empty_aircraft() -> None:
    study = study_weighed(RECORD)
    scales, model = weighed(study), load_model(study)
    assert scales is not None
    mass = 82.0 + 207.0 + 205.0 - 16.0
    moment = 82.0 * (2622 - 1815.1) + 412.0 * 2622 - 16.0 * (2622 - 247)
    assert model.empty_kg == pytest.approx(mass, rel=1e-15)
    assert model.empty_fs_mm == pytest.approx(moment / mass, rel=1e-14)
    assert model.empty_bl_mm == pytest.approx((205.0 - 207.0) * 990 / mass, rel=1e-12)
    assert (model.empty_wl_mm, scales.mass_kg) == (930.0, model.empty_kg)


def test_units_of_the_file_hold_in_a_weighing() -> None:
    plain = table(OSTREL)
    del plain["loading"]["empty"]
    plain["loading"]["weighing"] = {
        "cg_wl": 38,
        "datum_fs": 118,
        "reading": [
            {"name": "nose", "reading": 228.3, "station": "-1789 mm", "per": "group"},
            {"name": "mains", "reading": 445.85, "station": 0, "per": "leg", "legs": 2},
        ],
    }
    model = load_model(parse(plain))
    assert model.empty_kg == pytest.approx((228.3 + 2 * 445.85) * 0.45359237, rel=1e-14)
    assert model.empty_fs_mm == pytest.approx(118 * 25.4 - 1789 * 228.3 / 1120.0, rel=1e-12)


def test_neither_and_both_are_faults() -> None:
    plain = table()
    del plain["loading"]["empty"]
    with pytest.raises(DocumentError, match="neither empty nor weighing"):
        parse(plain)
    with pytest.raises(DocumentError, match="expected one of them"):
        changed({"loading.weighing": RECORD})


def test_a_reading_below_its_tare_is_named_by_the_document() -> None:
    bad = {**RECORD, "reading": [{**READINGS[0], "tare": 90}, *READINGS[1:]]}
    with pytest.raises(DocumentError, match=r"loading\.weighing\.reading\[nose\]"):
        load_model(study_weighed(bad))


def test_a_weighing_that_leaves_no_room_names_the_cap() -> None:
    with pytest.raises(DocumentError) as caught:
        load_model(study_weighed(RECORD, max_mass=520))
    assert caught.value.faults[0].field == "loading.max_mass"
    assert "536 kg, the least loading (empty 478 + pilot 55 + fuel 3)" in caught.value.faults[0].expected


def test_limits_that_fail_only_together_are_all_named() -> None:
    with pytest.raises(DocumentError) as caught:
        load_model(changed({"loading.max_zero_fuel_mass": 560, "loading.min_mass": 640}))
    text = str(caught.value)
    for word in ("max_mass 750", "max_zero_fuel_mass 560", "min_mass 640", "no choice of items meets all limits"):
        assert word in text


def test_least_mass_cuts_the_light_loadings_off() -> None:
    light = cg_range(load_model(changed({})))
    cut = cg_range(load_model(changed({"loading.min_mass": 600})))
    assert light.mass_min.value == 536.0
    assert cut.mass_min.value == 600.0
    assert cut.forward.value >= light.forward.value


def test_left_and_right_compartments_move_the_cg_sideways() -> None:
    plain = table()
    for name, bl in (("left locker", -420), ("right locker", 380)):
        plain["loading"]["item"].append({"name": name, "min": 0, "max": 20, "at": [2700, 850], "bl": bl})
    span = cg_range(load_model(parse(plain)))
    assert span.left.case.kg("left locker") == 20.0
    assert span.left.case.kg("right locker") == 0.0
    assert span.left.value == pytest.approx(-420 * 20 / span.left.case.mass_kg, rel=1e-12)
    assert span.right.value == pytest.approx(380 * 20 / span.right.case.mass_kg, rel=1e-12)
