"""Loading models: choices, conflicts that are named, cases that break limits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from linkage.errors import DocumentError
from linkage.loading import LoadItem, LoadModel, case_faults, choices
from tests.loading.models import TWO_SEATER, models
from tests.loading.roads import corners


def seat(name: str, optional: bool = True, least: float = 40.0, group: str | None = None) -> LoadItem:
    return LoadItem(name, least, 100.0, 2000.0, 800.0, optional=optional, group=group)


def with_items(*items: LoadItem, cap: float = 1000.0) -> LoadModel:
    return LoadModel(400.0, 2000.0, 800.0, items, cap)


def aboard(model: LoadModel) -> set[str]:
    return {" ".join(n for n, m in zip(model.names, row, strict=True) if m > 0) for row in choices(model).low}


def test_choices_of_groups_and_optional_seats() -> None:
    model = with_items(
        seat("pilot", optional=False), seat("child", group="rear"), seat("cargo", group="rear"), seat("mate")
    )
    expected = {"pilot", "pilot child", "pilot cargo", "pilot mate", "pilot child mate", "pilot cargo mate"}
    assert aboard(model) == expected


def test_a_group_with_a_required_item_is_never_empty() -> None:
    assert aboard(with_items(seat("a", optional=False, group="g"), seat("b", group="g"))) == {"a", "b"}


def test_leaving_out_is_no_choice_of_its_own_when_zero_is_allowed() -> None:
    assert len(choices(with_items(*(seat(f"bag{i}", least=0.0) for i in range(30)))).low) == 1


def test_too_many_choices_are_refused() -> None:
    with pytest.raises(DocumentError, match="17 places"):
        choices(with_items(*(seat(f"s{i}") for i in range(17)), cap=5000.0))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"mass_cap_kg": 530.0}, ["mass_cap_kg: 530 kg", "at least 538 kg", "pilot 55"]),
        ({"zero_fuel_cap_kg": 520.0}, ["zero_fuel_cap_kg: 520 kg", "at least 535 kg"]),
        ({"min_mass_kg": 760.0}, ["min_mass_kg: 760 kg", "mass cap 750"]),
        (
            {"mass_cap_kg": 530.0, "zero_fuel_cap_kg": 520.0},
            ["2 fault(s)", "mass_cap_kg: 530", "zero_fuel_cap_kg: 520"],
        ),
        ({"zero_fuel_cap_kg": 560.0, "min_mass_kg": 700.0}, ["all limits together", "zero_fuel_cap_kg 560"]),
    ],
)
def test_conflicting_limits_are_named(change: dict[str, float], words: list[str]) -> None:
    with pytest.raises(DocumentError) as caught:
        choices(replace(TWO_SEATER, **change))
    for word in words:
        assert word in str(caught.value)


def test_bad_numbers_are_reported_all_at_once() -> None:
    with pytest.raises(DocumentError) as caught:
        LoadModel(
            0.0,
            math.nan,
            800.0,
            (
                LoadItem("a", 5.0, 4.0, 2000.0, 800.0),
                LoadItem("a", 0.0, math.inf, 2000.0, math.nan),
                LoadItem("b", 0.0, 1.0, 2000.0, 800.0, kind="freight"),  # type: ignore[arg-type]
            ),
            -1.0,
        )
    fields = [f.field for f in caught.value.faults]
    assert fields == [
        "loading.empty_fs_mm",
        "loading.empty_kg",
        "loading.mass_cap_kg",
        "loading.items[a]",
        "loading.items[a]",
        "loading.items[a]",
        "loading.items[a]",
        "loading.items[b].kind",
    ]


def test_case_names_every_broken_limit() -> None:
    model = replace(TWO_SEATER, zero_fuel_cap_kg=700.0, min_mass_kg=600.0)
    found = [f.field for f in case_faults(model, model.case([120.0, 110.0, 70.0, 45.0]))]
    assert found == ["loading.items[pilot]", "loading.mass_cap_kg", "loading.zero_fuel_cap_kg"]
    assert [f.field for f in case_faults(model, model.case([55.0, 0.0, 3.0, 0.0]))] == ["loading.min_mass_kg"]
    assert case_faults(model, model.case([80.0, 60.0, 20.0, 0.0])) == ()


def test_case_names_an_excluded_pair() -> None:
    model = with_items(seat("child", group="rear"), seat("cargo", group="rear"))
    assert [f.field for f in case_faults(model, model.case([50.0, 50.0]))] == ["loading.groups[rear]"]
    assert case_faults(model, model.case([0.0, 0.0])) == ()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(models())
def test_every_corner_of_the_definition_is_a_loading(model: LoadModel) -> None:
    for masses in np.concatenate(corners(model)) if corners(model) else []:
        assert case_faults(model, model.case(masses.tolist())) == ()


def test_unknown_names_and_wrong_lengths() -> None:
    with pytest.raises(DocumentError, match="no such item"):
        TWO_SEATER.case_of({"dog": 20.0})
    with pytest.raises(ValueError, match="1 masses for 4 items"):
        TWO_SEATER.case([1.0])
    assert TWO_SEATER.case_of({"pilot": 80.0, "fuel": 10.0}) == TWO_SEATER.case([80.0, 0.0, 10.0, 0.0])


def test_no_items_at_all_is_the_empty_aircraft() -> None:
    assert choices(with_items()).low.shape == (1, 0)
