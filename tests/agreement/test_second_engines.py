"""A part of the filed comparison with second engines (docs/second_engines.json) again: within the bounds, and no worse
than filed."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from linkage.gear import Gear
from tests.agreement import by_physics, second
from tests.agreement.figures import Figure
from tests.agreement.random_gears import BASES, SEED, random_gears
from tests.studies import ROOT

FILED = json.loads((ROOT / "docs" / "second_engines.json").read_text(encoding="utf-8"))
ELSEWHERE = 10.0
"""Times as much rounding another processor's order of sums may leave."""


@pytest.mark.parametrize("name", second.RUNS)
def test_no_worse_than_filed(name: str) -> None:
    compare, many, few = second.RUNS[name]
    filed = {row["quantity"]: row for row in FILED["runs"][name]["rows"]}
    found = compare(few)
    assert {f.quantity for f in found} == set(filed)
    for figure in found:
        row = filed[figure.quantity]
        assert row["cases"] == many and figure.cases == few
        assert figure.count > 0
        assert figure.largest <= figure.bound, figure.quantity
        limit = ELSEWHERE * max(row["largest"], 1e-15) if figure.rounding else row["largest"] * 1.001 + 1e-9
        assert figure.largest <= limit, figure.quantity


def test_everything_filed_is_within_its_bound() -> None:
    assert FILED["seed"] == SEED
    assert list(FILED["runs"]) == list(second.RUNS) and FILED["notes"] == list(second.NOTES)
    for run in FILED["runs"].values():
        for row in run["rows"]:
            assert row["largest"] <= row["bound"], row["quantity"]


def test_gears_are_random_and_the_same_again() -> None:
    def places(count: int) -> list[complex]:
        return [one.gear.pins["trunnion"].at for one in random_gears(count)]

    few = places(5)
    assert places(3) == few[:3]
    assert len(set(few)) == 5
    assert [one.base for one in random_gears(3)] == [name for name, _ in BASES[:3]]


def test_the_judge_notices_a_gear_that_is_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A thousandth of a millimetre at one pin, unknown to the gear, shows a million times over the bounds."""
    honest = by_physics.tree_of

    def moved(gear: Gear, masses: dict[str, by_physics.Weight]) -> by_physics.Tree:
        tree = honest(gear, masses)
        off = replace(tree.parts[1], hinge=tree.parts[1].hinge + 1e-6)
        return replace(tree, parts=(tree.parts[0], off, *tree.parts[2:]))

    monkeypatch.setattr(by_physics, "tree_of", moved)
    found: tuple[Figure, ...] = by_physics.compare(1)
    assert found[0].largest > 1e6 * found[0].bound / 10.0
    assert found[4].largest > 1e3 * found[4].bound
