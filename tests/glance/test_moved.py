"""A field changed the short way, beside the whole document read again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from linkage.errors import DocumentError
from linkage.glance import moved
from tests.studies import MERROW, OSTREL, changed, source

GOOD: list[tuple[Path, str, Any, str, Any]] = [
    (MERROW, "gear.brace.upper_pin", (1141.5, 551.0), "gear.brace.upper_pin", [1141.5, 551.0]),
    (MERROW, "gear.trunnion[0]", 841.25, "gear.trunnion", [841.25, 682]),
    (MERROW, "gear.brace.lug.along", 181.0, "gear.brace.lug.along", 181.0),
    (MERROW, "gear.actuator.pin.angle", -55.5, "gear.actuator.pin.angle", -55.5),
    (MERROW, "bay.item[6].required.total", 25.0, "bay.item[6].required", 25.0),
    (MERROW, "loading.max_mass", 1190.0, "loading.max_mass", 1190.0),
    (MERROW, "strut.stroke", 120.0, "strut.stroke", 120.0),
    (OSTREL, "gear.trunnion", (48.5 * 25.4, 28.0 * 25.4), "gear.trunnion", [48.5, 28.0]),
    (OSTREL, "gear.leg.length", 23.5 * 25.4, "gear.leg.length", 23.5),
    (OSTREL, "title", "Another", "title", "Another"),
]

BAD: list[tuple[str, Any]] = [
    ("gear.brace.upper_link", -3.0),
    ("gear.brace.over_centre", 1e9),
    ("gear.leg.length", 20.0),
    ("tyre.outside_diameter", 14.2),
    ("airframe.main_gear.contact", [700.0, 100.0]),
    ("limits.over_centre.min", 1e3),
    ("stroke.poses", 3),
    ("title", 7),
]


@pytest.mark.parametrize(("path", "field", "to", "plain", "raw"), GOOD)
def test_it_is_the_study_that_a_file_would_give(path: Path, field: str, to: Any, plain: str, raw: Any) -> None:
    study = moved(source(path).study, field, to)
    whole = changed({plain: raw}, path)
    assert study == whole


@pytest.mark.parametrize(("field", "to"), BAD)
def test_it_is_refused_as_a_file_would_be(field: str, to: Any) -> None:
    with pytest.raises(DocumentError) as whole:
        changed({field: to})
    with pytest.raises(DocumentError) as short:
        moved(source().study, field, tuple(to) if isinstance(to, list) else to)
    assert [str(f) for f in short.value.faults] == [str(f) for f in whole.value.faults]


def test_a_path_that_is_none_is_refused() -> None:
    with pytest.raises(DocumentError, match="no such place"):
        moved(source().study, "gear.tunnion[0]", 3.0)
