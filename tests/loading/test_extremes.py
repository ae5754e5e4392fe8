"""Extremes against the enumeration of all corners and against linprog, and the demo-like case by hand."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from linkage.errors import DocumentError
from linkage.loading import (
    Linear,
    LoadItem,
    LoadModel,
    Stance2,
    case_faults,
    cg_range,
    constant_form,
    extreme,
    ground_range,
    mass_form,
    moment_bl_form,
    moment_form,
    tip_back,
    turnover,
)
from linkage.units import STANDARD_GRAVITY
from tests.loading.models import LEVEL, NOSE_UP, TWO_SEATER, models
from tests.loading.roads import corners, extremes_by_corners, extremes_by_linprog

# The numbers are sums of a dozen products: 1e-12 is a few hundred roundings.
EXACT = 1e-12
# linprog answers to its feasibility tolerance of 1e-10 per row, on rows of size up to 1e4.
LINPROG = 1e-7


def ratios(model: LoadModel, stance: Stance2) -> list[tuple[Linear, Linear]]:
    mass, one = mass_form(model), constant_form(model)
    return [
        (mass, one),
        (moment_form(model), mass),
        (moment_form(model, 1j), mass),
        (moment_bl_form(model), mass),
        (stance.to_main_form(model), mass * stance.wheelbase_mm),
        (stance.nose_load_form(model), one),
        (stance.to_main_form(model), stance.height_form(model)),
    ]


@settings(max_examples=60, derandomize=True, deadline=None)
@given(models(), st.sampled_from([LEVEL, NOSE_UP]))
def test_equals_all_corners(model: LoadModel, stance: Stance2) -> None:
    if not corners(model):
        with pytest.raises(DocumentError):
            extreme(model, mass_form(model), constant_form(model), "min")
        return
    for numerator, denominator in ratios(model, stance):
        low, high = extremes_by_corners(model, numerator, denominator)
        scale = max(abs(low), abs(high), abs(numerator.constant / denominator.constant))
        for sense, expected in (("min", low), ("max", high)):
            found = extreme(model, numerator, denominator, sense)
            assert found.value == pytest.approx(expected, abs=EXACT * scale)
            kg = [m for _, m in found.case.masses]
            assert numerator.at(kg) / denominator.at(kg) == pytest.approx(found.value, abs=EXACT * scale)
            assert case_faults(model, found.case) == ()


@settings(max_examples=15, derandomize=True, deadline=None)
@given(models(most=6), st.sampled_from([LEVEL, NOSE_UP]))
def test_equals_linprog(model: LoadModel, stance: Stance2) -> None:
    try:
        extreme(model, mass_form(model), constant_form(model), "min")
    except DocumentError:
        assume(False)
    for numerator, denominator in ratios(model, stance):
        low, high = extremes_by_linprog(model, numerator, denominator)
        scale = max(abs(low), abs(high), abs(numerator.constant / denominator.constant))
        assert extreme(model, numerator, denominator, "min").value == pytest.approx(low, abs=LINPROG * scale)
        assert extreme(model, numerator, denominator, "max").value == pytest.approx(high, abs=LINPROG * scale)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(models(), st.data())
def test_any_ratio_of_linear_functions(model: LoadModel, data: st.DataObject) -> None:
    """Not only those that come from arms: any weights, any positive denominator."""
    assume(corners(model))
    n = len(model.items)
    whole = st.integers(-9, 9)
    top = Linear(float(data.draw(whole)), tuple(float(data.draw(whole)) for _ in range(n)))
    bottom = Linear(float(data.draw(st.integers(1, 9))), tuple(float(data.draw(st.integers(0, 9))) for _ in range(n)))
    low, high = extremes_by_corners(model, top, bottom)
    scale = max(abs(low), abs(high), 1.0)
    assert extreme(model, top, bottom, "min").value == pytest.approx(low, abs=EXACT * scale)
    assert extreme(model, top, bottom, "max").value == pytest.approx(high, abs=EXACT * scale)


def test_two_seater_by_hand() -> None:
    """Forward: nothing but the least pilot and fuel. Aft: all the baggage, both people, fuel gives way to the cap."""
    cg = cg_range(TWO_SEATER)
    assert cg.forward.case == TWO_SEATER.case([55.0, 0.0, 3.0, 0.0])
    assert cg.forward.value == pytest.approx((480 * 2250 + 55 * 2440 + 3 * 2375) / 538, rel=EXACT)
    # 480 + 110 + 110 + 45 leaves 5 kg below the cap; the fuel lies aft of the CG and takes them.
    assert cg.aft.case == TWO_SEATER.case([110.0, 110.0, 5.0, 45.0])
    assert cg.mass_min.value == 538.0
    assert cg.mass_max.value == 750.0
    ground = ground_range(TWO_SEATER, LEVEL)
    assert ground.share_min.case == cg.aft.case
    assert ground.share_min.value == pytest.approx((2620 - cg.aft.value) / 1820, rel=EXACT)
    load = (480 * 370 + 180 * (2620 - 2440) + 70 * 245 + 20 * (2620 - 2440)) / 1820 * STANDARD_GRAVITY
    assert ground.nose_load_max.value == pytest.approx(load, rel=EXACT)


def test_tip_back_and_turnover_are_the_angles_of_their_own_loading() -> None:
    worst = tip_back(TWO_SEATER, NOSE_UP, "min")
    assert worst.value == pytest.approx(NOSE_UP.tip_back_rad(worst.case.cg), rel=EXACT)
    over = turnover(TWO_SEATER, NOSE_UP, 1980.0)
    cg = over.case.cg
    nose_to_cg = NOSE_UP.wheelbase_mm - NOSE_UP.to_main_mm(cg)
    lean = math.atan(1980.0 / (2 * NOSE_UP.wheelbase_mm))
    assert over.value == pytest.approx(math.atan(NOSE_UP.height_mm(cg) / (nose_to_cg * math.sin(lean))), rel=EXACT)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(st.floats(-0.2, 0.2), st.complex_numbers(max_magnitude=3000.0))
def test_turning_the_whole_drawing_changes_nothing_on_the_ground(turn: float, shift: complex) -> None:
    def moved(z: complex) -> complex:
        return shift + z * cmath.rect(1.0, turn)

    empty = moved(complex(TWO_SEATER.empty_fs_mm, TWO_SEATER.empty_wl_mm))
    items = tuple(replace(i, fs_mm=moved(i.arm).real, wl_mm=moved(i.arm).imag) for i in TWO_SEATER.items)
    model = replace(TWO_SEATER, empty_fs_mm=empty.real, empty_wl_mm=empty.imag, items=items)
    stance = Stance2(moved(LEVEL.nose), moved(LEVEL.main))
    here, there = ground_range(TWO_SEATER, LEVEL), ground_range(model, stance)
    for name in here.__dataclass_fields__:
        # Corners that tie in exact numbers may swap when turned, so the value is compared, not the loading.
        assert getattr(there, name).value == pytest.approx(getattr(here, name).value, rel=1e-11)


def test_nose_up_takes_load_off_the_nose() -> None:
    """The trap of the reference table: level arms would miss it."""
    case = TWO_SEATER.case([80.0, 80.0, 40.0, 10.0])
    assert NOSE_UP.pitch_rad == pytest.approx(math.atan2(100.0, 1820.0), rel=EXACT)
    assert NOSE_UP.share(case.cg) < LEVEL.share(case.cg) - 0.02
    level_arms = (NOSE_UP.main.real - case.fs_mm) / (NOSE_UP.main.real - NOSE_UP.nose.real)
    assert abs(NOSE_UP.share(case.cg) - level_arms) > 0.02


def test_lateral_cg_of_left_and_right_compartments() -> None:
    sides = tuple(LoadItem(side, 0.0, 30.0, 2900.0, 800.0, bl_mm=y) for side, y in (("L", -300.0), ("R", 300.0)))
    model = replace(TWO_SEATER, items=TWO_SEATER.items + sides, mass_cap_kg=800.0)
    cg = cg_range(model)
    assert cg.right.value == pytest.approx(30 * 300 / 568, rel=EXACT)
    assert cg.left.value == -cg.right.value
    assert cg.right.case.kg("R") == 30.0


def test_gear_up_moves_the_empty_moment() -> None:
    up = TWO_SEATER.gear_moved(1200.0 + 3000.0j)
    down, retracted = cg_range(TWO_SEATER), cg_range(up)
    assert retracted.forward.value - down.forward.value == pytest.approx(1200 / 538, rel=1e-9)
    assert up.empty_wl_mm - TWO_SEATER.empty_wl_mm == pytest.approx(3000 / 480, rel=1e-9)


def test_cg_below_the_ground_is_refused() -> None:
    with pytest.raises(DocumentError, match="denominator"):
        ground_range(TWO_SEATER, Stance2(800 + 2000j, 2620 + 2000j))


@pytest.mark.parametrize(("nose", "main"), [(800 + 0j, 800 + 0j), (2620 + 0j, 800 + 0j), (complex("nan"), 2620 + 0j)])
def test_no_wheelbase_is_refused(nose: complex, main: complex) -> None:
    with pytest.raises(DocumentError, match="main contact aft"):
        Stance2(nose, main)


def test_cases_come_back_as_plain_numbers() -> None:
    case = cg_range(TWO_SEATER).aft.case
    assert all(type(kg) is float for _, kg in case.masses)
    assert str(case) == "750 kg (pilot 110, passenger 110, fuel 5, baggage 45)"
    assert np.isclose(case.moment_kgmm, case.mass_kg * case.fs_mm)
