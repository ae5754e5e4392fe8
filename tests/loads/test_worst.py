"""The loading that makes a condition worst, against every corner of the feasible set and many loadings within it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.errors import DocumentError
from linkage.loading import LoadItem, LoadModel, Stance2, constant_form, mass_form
from linkage.loads.conditions import Condition, Vertical
from linkage.loads.worst import outline, worst_corners
from linkage.stance import Ground
from linkage.units import STANDARD_GRAVITY
from tests.loading.models import LEVEL, NOSE_UP, TWO_SEATER, models
from tests.loading.roads import corners, value

STANCES = st.sampled_from([LEVEL, NOSE_UP])


def condition(v: Vertical, stance: Stance2, of_weight: bool = False, tow: bool = False) -> Condition:
    ground = Ground("static", 0.0, 150.0, stance.nose + 150j, stance.nose, stance.main, 0.0, stance.wheelbase_mm)
    return Condition("c", "r", "", v, 0.3, 0.0, of_weight, "axle", ground, (0.0,), "limit", tow, 1e9)


def corners_of(model: LoadModel) -> np.ndarray:
    try:
        found = corners(model)
    except DocumentError:
        found = []
    assume(found)
    return np.concatenate(found)


def within(model: LoadModel, seed: int) -> np.ndarray:
    """Random loadings: mixtures of the corners of one choice each."""
    random = np.random.default_rng(seed)
    found = corners(model)
    return np.concatenate([random.dirichlet(np.full(len(c), 0.4), 200) @ c for c in found])


def load_of(model: LoadModel, v: Vertical, stance: Stance2, masses: np.ndarray) -> np.ndarray:
    """V straight from its definition, loading by loading."""
    out = []
    for row in masses:
        case = model.case([float(m) for m in row])
        b, h = stance.to_main_mm(case.cg), stance.height_mm(case.cg)
        out.append(v.load(case.mass_kg * STANDARD_GRAVITY, b, h, stance.wheelbase_mm))
    return np.array(out)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(models(), STANCES, st.sampled_from([Vertical(2.25), Vertical(1.0, 0.31), Vertical(2.0, 0.33, 0.0, 0.33)]))
def test_linear_relations_give_the_greatest_of_all_corners(model: LoadModel, stance: Stance2, v: Vertical) -> None:
    masses = corners_of(model)
    assume(load_of(model, v, stance, masses).min() > 0)
    (found,) = worst_corners(condition(v, stance), model)
    assert found.vertical == pytest.approx(load_of(model, v, stance, masses).max(), rel=1e-9)
    assert found.at_most == found.vertical
    case = load_of(model, v, stance, np.array([[kg for _, kg in found.case.masses]]))
    assert found.vertical == pytest.approx(float(case[0]), rel=1e-9)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(models(), STANCES, st.integers(0, 2**31))
def test_braked_roll_is_reached_and_nothing_exceeds_its_bound(model: LoadModel, stance: Stance2, seed: int) -> None:
    v = Vertical(1.33, 0.8, 0.8)
    masses = corners_of(model)
    assume(load_of(model, v, stance, masses).min() > 0)
    (found,) = worst_corners(condition(v, stance), model)
    case = load_of(model, v, stance, np.array([[kg for _, kg in found.case.masses]]))
    assert found.vertical == pytest.approx(float(case[0]), rel=1e-9)
    everywhere = load_of(model, v, stance, np.concatenate([masses, within(model, seed)])).max()
    assert everywhere <= found.at_most * (1 + 1e-9)
    assert found.vertical >= 0.98 * everywhere


def test_braked_roll_bound_is_tight_on_an_ordinary_aircraft() -> None:
    (found,) = worst_corners(condition(Vertical(1.33, 0.8, 0.8), LEVEL), TWO_SEATER)
    everywhere = load_of(TWO_SEATER, Vertical(1.33, 0.8, 0.8), LEVEL, np.concatenate(corners(TWO_SEATER))).max()
    assert found.vertical == pytest.approx(everywhere, rel=1e-12)
    assert found.at_most < 1.001 * found.vertical


def test_braked_roll_finds_a_best_loading_between_corners() -> None:
    """One item, far behind the mains and low: mass grows while the arm shrinks, so the best lies inside its range."""
    model = LoadModel(500.0, 2000.0, 900.0, (LoadItem("aft", 0.0, 300.0, 3000.0, 300.0),), 1000.0)
    v, stance = Vertical(1.33, 0.8, 0.8), Stance2(800 + 0j, 2600 + 0j)
    (found,) = worst_corners(condition(v, stance), model)
    fine = load_of(model, v, stance, np.linspace(0.0, 300.0, 3001)[:, None])
    assert fine.max() > max(fine[0], fine[-1]) + 20.0
    assert fine.max() * (1 - 1e-12) <= found.vertical <= found.at_most
    assert found.vertical == pytest.approx(fine.max(), rel=1e-6)
    assert found.case.kg("aft") == pytest.approx(0.1 * int(fine.argmax()), abs=0.1)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(models(), st.integers(0, 2**31))
def test_outline_reaches_as_far_as_any_corner_in_every_direction(model: LoadModel, seed: int) -> None:
    masses = corners_of(model)
    first, second = mass_form(model) * STANDARD_GRAVITY, LEVEL.nose_load_form(model)
    hull = np.array([[first.at(m), second.at(m)] for m in outline(model, first, second)])
    every = np.column_stack([value(first, masses), value(second, masses)])
    for direction in np.random.default_rng(seed).normal(size=(50, 2)):
        assert (hull @ direction).max() == pytest.approx((every @ direction).max(), rel=1e-9, abs=1e-6)
    assert len(np.unique(hull.round(6), axis=0)) == len(hull)


def test_outline_of_a_single_loading_is_one_point() -> None:
    model = replace(TWO_SEATER, items=())
    one = constant_form(model)
    assert outline(model, mass_form(model), one) == [[]]


def test_part_of_the_weight_is_worked_at_every_corner_but_a_tow_bar_at_the_heaviest() -> None:
    several = worst_corners(condition(Vertical(1.0), LEVEL, of_weight=True), TWO_SEATER)
    assert len(several) > 2
    (heaviest,) = worst_corners(condition(Vertical(1.0), LEVEL, of_weight=True, tow=True), TWO_SEATER)
    assert heaviest.weight == pytest.approx(750 * STANDARD_GRAVITY)
    assert heaviest.vertical == max(c.vertical for c in several if c.weight == pytest.approx(heaviest.weight))


def test_max_mass_of_a_condition_cuts_the_loadings() -> None:
    light = replace(condition(Vertical(2.25), LEVEL), max_mass=600.0)
    (found,) = worst_corners(light, TWO_SEATER)
    assert found.case.mass_kg <= 600.0 + 1e-9
    assert found.vertical < worst_corners(condition(Vertical(2.25), LEVEL), TWO_SEATER)[0].vertical
    with pytest.raises(DocumentError, match="max_mass of condition 'c': 300 kg; expected at least 538 kg"):
        worst_corners(replace(light, max_mass=300.0), TWO_SEATER)
