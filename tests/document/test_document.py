"""Units, the two ways to give a brace, and the schema."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from linkage.document.quantities import Entry
from linkage.document.reader import schema
from linkage.document.revise import INSIDE
from linkage.gear import build
from tests.studies import OSTREL, changed, source


def test_a_text_with_a_unit_is_converted() -> None:
    study = changed({"gear.leg.length": "23.385826771653543 in", "loading.max_mass": f"{750 / 0.45359237!r} lb"})
    assert study.gear.leg.length == pytest.approx(594.0, abs=1e-9)
    assert study.loading.max_mass == pytest.approx(750.0, abs=1e-9)


def test_inch_file_is_read_in_inches() -> None:
    study = source(OSTREL).study
    assert study.tyre.outside_diameter == pytest.approx(14.2 * 25.4, abs=1e-9)
    assert study.loading.empty.mass == pytest.approx(1120 * 0.45359237, abs=1e-9)
    assert study.gear.actuator.max_force == pytest.approx(1400 * 4.4482216152605, rel=1e-12)
    assert study.keep_out.tolerance == pytest.approx(0.1, abs=1e-12)


def test_brace_as_drawn_and_as_sized_are_one_gear() -> None:
    sized = build(changed({}))
    brace = {"upper_pin": [1140, 550], "lug": {"along": 180}, "knee": [sized.brace.knee.real, sized.brace.knee.imag]}
    tilt = math.degrees(math.atan2(-sized.down.real, -sized.down.imag))
    drawn = build(changed({"gear.brace": {**brace, "knee_folds": "up"}, "gear.leg.tilt": tilt}))
    assert drawn.brace.upper_link == pytest.approx(200, abs=1e-9)
    assert drawn.brace.lower_link == pytest.approx(123, abs=1e-9)
    assert drawn.brace.over_centre == pytest.approx(5, abs=1e-9)
    assert abs(drawn.pins["axle"].at - sized.pins["axle"].at) < 1e-9


def test_drawn_knee_before_centre_is_refused_with_a_place_that_works() -> None:
    from linkage.errors import DocumentError

    brace = {"upper_pin": [1140, 550], "lug": {"along": 180}, "knee": [942, 530]}
    with pytest.raises(DocumentError, match="on or before centre") as caught:
        build(changed({"gear.brace": brace, "gear.leg.tilt": 6.188}))
    place = caught.value.faults[0].expected.split("[")[1].split("]")[0]
    knee = [float(v) for v in place.split(",")]
    better = build(changed({"gear.brace": {**brace, "knee": knee}, "gear.leg.tilt": 6.188}))
    assert better.brace.over_centre == pytest.approx(1.5, abs=0.1)


def test_schema_knows_every_table() -> None:
    properties = schema()["properties"]
    assert {"airframe", "loading", "tyre", "strut", "gear", "bay", "limits", "keep_out"} <= set(properties)


def _entries(kind: type[Entry]) -> Iterator[type[Entry]]:
    for inner in kind.__subclasses__():
        yield inner
        yield from _entries(inner)


def test_a_default_of_the_program_is_what_reading_it_gives() -> None:
    """Defaults are put together without a reader; each of them, read, is the same."""
    found = [
        (kind.__name__, name, field.default)
        for kind in _entries(Entry)
        for name, field in kind.model_fields.items()
        if isinstance(field.default, Entry)
    ]
    assert len(found) > 20
    for kind, name, default in found:
        written = default.model_dump(exclude_unset=True, by_alias=True)
        again = type(default).model_validate(written, context={"units": INSIDE})
        assert again == default, (kind, name)
        assert all(type(v) is type(getattr(default, k)) for k, v in again), (kind, name)
