"""A field changed the short way, beside the whole document read again."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from linkage.document.paths import paths
from linkage.document.study import Study
from linkage.errors import DocumentError
from linkage.glance import moved
from tests.studies import MERROW, OSTREL, changed, source, table

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


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=lambda p: p.parent.name)
def test_every_number_of_the_file_changes_as_in_the_file(path: Path) -> None:
    """Also deep in lists of lists, and where the change is refused."""
    kinds, study, seen = paths(table(path)), source(path).study, 0
    for field, raw in numbers("", table(path)):
        if re.search(r"butt_lines\[\d\]$", field):  # a single pair, that a study holds as a list of pairs
            continue
        to = round(raw * 1.003, 6)
        inside = to * study.units.factor(kind) if (kind := kinds[re.sub(r"(\[\d+\])\[\d\]$", r"\1", field)]) else to
        assert outcome(moved, study, field, inside) == outcome(changed, {field: to}, path), field
        seen += 1
    assert seen > 150


def numbers(at: str, value: Any) -> Iterator[tuple[str, float]]:
    """Every number of a plain table with its path."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers(f"{at}.{name}" if at else name, inner)
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from numbers(f"{at}[{i}]", inner)
    elif isinstance(value, float) or type(value) is int:
        yield at, float(value)


def outcome(make: Callable[..., Study], *given: Any) -> Any:
    """The study, numbers as they print, or what is wrong with it."""
    try:
        return make(*given).model_dump_json(exclude={"units"})
    except DocumentError as err:
        return [str(f) for f in err.faults]


def test_a_path_that_is_none_is_refused() -> None:
    with pytest.raises(DocumentError, match="no such place"):
        moved(source().study, "gear.tunnion[0]", 3.0)
