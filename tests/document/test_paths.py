"""Paths: every number of a study has one, its kind is what the reader uses, and near ones are offered."""

from __future__ import annotations

import math
from typing import Any

import pytest

from linkage.document.paths import named, numbered, paths, unknown
from linkage.document.reader import parse
from linkage.document.ways import put, steps
from linkage.errors import DocumentError
from linkage.units import FACTORS
from tests.studies import MERROW, OSTREL, table

OTHER = {"length": "m", "mass": "lb", "force": "kN", "angle": "rad", "speed": "kt", "pressure": "psi", "area": "ft2"}


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_every_place_of_the_file_has_a_path(study: Any) -> None:
    plain = table(study)
    known = paths(plain)

    def walk(here: Any, path: str) -> None:
        assert path == "" or unknown(path, known, plain) is None, path
        if isinstance(here, dict):
            for key, value in here.items():
                walk(value, f"{path}.{key}" if path else key)
        elif isinstance(here, list):
            for i, value in enumerate(here):
                walk(value, f"{path}[{i}]")

    walk(plain, "")


@pytest.mark.parametrize("study", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_the_kind_is_the_one_whose_units_the_reader_takes(study: Any) -> None:
    """A text in a unit of the kind is read; a unit of another kind is a fault."""
    plain = table(study)
    tried = 0
    for path, kind in paths(plain).items():
        if not path.startswith(("gear.leg", "gear.brace", "gear.actuator", "loading.item", "strut", "bay.item[6]")):
            continue
        number = _at(plain, path)
        if not isinstance(number, int | float) or isinstance(number, bool) or kind not in OTHER:
            continue
        fresh = table(study)
        unit = fresh["units"].get(kind, next(iter(FACTORS[kind])))
        put(fresh, path, f"{number * FACTORS[kind][unit] / FACTORS[kind][OTHER[kind]]:.14f} {OTHER[kind]}")
        parse(fresh)
        put(fresh, path, "1 furlong")
        with pytest.raises(DocumentError, match="has no unit of"):
            parse(fresh)
        tried += 1
    assert tried > 20


def _at(plain: Any, path: str) -> Any:
    for step in steps(path):
        try:
            plain = plain[step]
        except (KeyError, IndexError, TypeError):
            return math.nan if isinstance(plain, str) else None
    return plain


@pytest.mark.parametrize(
    ("field", "near"),
    [
        ("gear.brace.uper_pin", "gear.brace.upper_pin"),
        ("gear.brace.upper_pin[2]", "gear.brace.upper_pin[1]"),
        ("over_centre", "gear.brace.over_centre"),
        ("gear.trunion[0]", "gear.trunnion[0]"),
        ("limits.transmision_angle.min", "limits.transmission_angle.min"),
        ("bay.item[oil colour].required", "bay.item[oil cooler]"),
        ("bay.item[99].required", "bay.item[0].required to bay.item["),
        ("gear.trunnion[2]", "gear.trunnion[0] to gear.trunnion[1]"),
        ("bay.item.oil cooler.required", "bay.item[oil cooler].required"),
        ("bay.item[oil colour].required", "bay.item[oil cooler].required"),
        ("bay.item[oil cooler].requird", "bay.item[oil cooler].required"),
        ("GEAR.Leg.LENGTH", "gear.leg.length"),
        ("quite another thing", "a path such as gear.leg.length"),
    ],
)
def test_near_paths_are_offered(field: str, near: str) -> None:
    plain = table()
    fault = unknown(field, paths(plain), plain)
    assert fault is not None
    assert near in fault.expected


def test_places_by_name() -> None:
    plain = table()
    number = [item["name"] for item in plain["bay"]["item"]].index("oil cooler")
    assert numbered("bay.item[oil cooler].required", plain) == f"bay.item[{number}].required"
    assert numbered("loading.item[fuel].at[1]", plain) == "loading.item[2].at[1]"
    assert numbered("bay.item[3].required", plain) == "bay.item[3].required"
    assert numbered("bay.item[no such].required", plain) == "bay.item[no such].required"
    for mark in "\"'":
        assert numbered(f"bay.item[{mark}oil cooler{mark}].required", plain) == f"bay.item[{number}].required"


def test_names_and_places_are_two_ways_to_say_one_path() -> None:
    plain = table()
    plain["bay"]["item"][0]["name"] = "pipe [a] = b.c"
    plain["bay"]["item"][1]["name"] = "3"
    plain["bay"]["item"][2]["name"] = plain["bay"]["item"][3]["name"] = "twin"
    plain["bay"]["item"][4]["name"] = "both 'ways\""
    for path in paths(plain):
        assert numbered(named(path, plain), plain) == path
    said = [
        named(f"bay.item[{i}].required", plain).removeprefix("bay.item").removesuffix(".required") for i in range(5)
    ]
    assert said == ['["pipe [a] = b.c"]', '["3"]', "[2]", "[3]", "[4]"]
    assert named("loading.item[2].at[1]", plain) == "loading.item[fuel].at[1]"
