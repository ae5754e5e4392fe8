"""Maps of two items against the same question asked one point at a time, and burning fuel off."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.errors import DocumentError
from linkage.loading import (
    LoadItem,
    LoadModel,
    baggage_map,
    burn_path,
    case_faults,
    cg_range,
    ground_range,
    topped_up,
)
from tests.loading.models import LEVEL, NOSE_UP, TWO_SEATER, models
from tests.loading.roads import corners

BAND = (0.15, 0.2)
LIMITS = (2200.0, 2350.0)


def pinned(model: LoadModel, masses: dict[str, float]) -> LoadModel | None:
    """The model with some items fixed at a mass (0 = left out)."""
    items = []
    for item in model.items:
        kg = masses.get(item.name)
        if kg is None:
            items.append(item)
        elif kg > 0.0:
            if not item.min_kg <= kg <= item.max_kg:
                return None
            items.append(replace(item, min_kg=kg, max_kg=kg, optional=False))
        else:
            if item.min_kg > 0.0 and not item.optional:
                return None
            items.append(replace(item, min_kg=0.0, max_kg=0.0))
    return replace(model, items=tuple(items))


@pytest.mark.parametrize("stance", [LEVEL, NOSE_UP])
@pytest.mark.parametrize("held", [{}, {"pilot": 77.0}, {"pilot": 77.0, "fuel": 30.0}])
def test_map_equals_extremes_of_the_pinned_model(stance, held) -> None:
    found = baggage_map(TWO_SEATER, "passenger", "baggage", stance, BAND, LIMITS, n=12, held=held)
    assert found.possible.shape == (12, 12)
    for j, b in enumerate(found.b_kg):
        for i, a in enumerate(found.a_kg):
            model = pinned(TWO_SEATER, {"passenger": float(a), "baggage": float(b), **held})
            assert found.possible[j, i] == (model is not None)
            if model is None:
                assert np.isnan(found.share_min[j, i])
                assert not found.allowed[j, i]
                continue
            cg, ground = cg_range(model), ground_range(model, stance)
            assert found.cg_min[j, i] == pytest.approx(cg.forward.value, rel=1e-12)
            assert found.cg_max[j, i] == pytest.approx(cg.aft.value, rel=1e-12)
            assert found.share_min[j, i] == pytest.approx(ground.share_min.value, rel=1e-11)
            assert found.share_max[j, i] == pytest.approx(ground.share_max.value, rel=1e-11)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(models(), st.data())
def test_map_holds_every_corner_that_has_its_pair(model: LoadModel, data: st.DataObject) -> None:
    """Random loadings with groups and caps: each corner with two items at a grid mass lies within the map's range."""
    assume(len(model.items) >= 2 and corners(model))
    a, b = data.draw(st.permutations(model.names))[:2]
    found = baggage_map(model, a, b, LEVEL, BAND, LIMITS, n=2)
    i, j = model.names.index(a), model.names.index(b)
    masses = np.concatenate(corners(model))
    total = value_mass(model, masses)
    arms = (model.empty_kg * model.empty_fs_mm + masses @ [x.fs_mm for x in model.items]) / total
    for kg, arm in zip(masses, arms, strict=True):
        for p in np.flatnonzero(found.a_kg == kg[i]):
            for q in np.flatnonzero(found.b_kg == kg[j]):
                assert found.possible[q, p]
                assert found.cg_min[q, p] - 1e-8 <= arm <= found.cg_max[q, p] + 1e-8


def value_mass(model: LoadModel, masses: np.ndarray) -> np.ndarray:
    return model.empty_kg + masses.sum(axis=1)


def test_a_whole_base_case_leaves_one_loading_per_point() -> None:
    base = TWO_SEATER.case([80.0, 0.0, 40.0, 0.0])
    found = baggage_map(TWO_SEATER, "fuel", "baggage", LEVEL, BAND, LIMITS, n=5, held=dict(base.masses))
    np.testing.assert_array_equal(found.cg_min, found.cg_max)
    case = TWO_SEATER.case([80.0, 0.0, float(found.a_kg[3]), float(found.b_kg[4])])
    assert found.cg_min[4, 3] == pytest.approx(case.fs_mm, rel=1e-12)
    assert found.share_max[4, 3] == pytest.approx(LEVEL.share(case.cg), rel=1e-12)


def test_items_of_one_group_never_combine() -> None:
    pair = tuple(LoadItem(n, 0.0, 40.0, 3000.0, 900.0, group="bay") for n in ("bag", "tank"))
    model = replace(TWO_SEATER, items=TWO_SEATER.items + pair)
    found = baggage_map(model, "bag", "tank", LEVEL, BAND, LIMITS, n=3)
    np.testing.assert_array_equal(found.possible, [[1, 1, 1], [1, 0, 0], [1, 0, 0]])


def test_wrong_names_are_reported_together() -> None:
    with pytest.raises(DocumentError) as caught:
        baggage_map(TWO_SEATER, "dog", "dog", LEVEL, BAND, LIMITS, held={"cat": 1.0})
    assert len(caught.value.faults) == 4


TANKS = replace(
    TWO_SEATER,
    items=(
        TWO_SEATER.items[0],
        LoadItem("main tank", 3.0, 50.0, 2375.0, 720.0, kind="fuel"),
        LoadItem("aft tank", 2.0, 20.0, 2900.0, 800.0, optional=True, kind="fuel"),
    ),
)


def test_burn_path_empties_one_tank_after_the_other() -> None:
    start = TANKS.case([80.0, 50.0, 20.0])
    path = burn_path(TANKS, start, order=("aft tank",)).cases
    assert [dict(c.masses) for c in path] == [
        {"pilot": 80.0, "main tank": 50.0, "aft tank": 20.0},
        {"pilot": 80.0, "main tank": 50.0, "aft tank": 2.0},
        {"pilot": 80.0, "main tank": 3.0, "aft tank": 2.0},
    ]
    burnt = start.moment_kgmm - path[-1].moment_kgmm
    assert burnt == pytest.approx(18 * 2900 + 47 * 2375, rel=1e-12)
    with pytest.raises(DocumentError, match="pilot"):
        burn_path(TANKS, start, order=("pilot",))


def test_topping_up_stops_at_the_cap_and_leaves_absent_tanks_out() -> None:
    full = topped_up(TANKS, TANKS.case([80.0, 3.0, 0.0]))
    assert full.kg("main tank") == 50.0
    assert full.kg("aft tank") == 0.0
    heavy = topped_up(replace(TANKS, mass_cap_kg=600.0), TANKS.case([80.0, 3.0, 2.0]))
    assert heavy.mass_kg == pytest.approx(600.0, rel=1e-12)
    assert case_faults(replace(TANKS, mass_cap_kg=600.0), heavy) == ()
