"""Angles and reactions on the ground against their published definitions and against plain space geometry.

Q5, Q9, Q10 of the reference sheet. Each number is reached a second time without the function under test.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.gear import build
from linkage.loading import LoadModel, Stance2, ground_range, turnover
from linkage.loading import equations as eq
from linkage.loading.entry import load_model
from linkage.loading.extremes import extreme
from linkage.loading.forms import constant_form
from linkage.stance import grounds
from linkage.stance.tyre import tyre_check
from tests.studies import MERROW, OSTREL, source

length = st.floats(300.0, 3000.0)


def fixed(weight: float, cg: complex, bl: float = 0.0) -> LoadModel:
    return LoadModel(weight, cg.real, cg.imag, (), mass_cap_kg=weight, empty_bl_mm=bl)


@pytest.mark.parametrize(
    ("b", "h", "degrees"),
    [
        # Q9, Raymer fig 11.5, Roskam II fig 9.1a (R2): atan(b/h). Right triangles with known angles.
        pytest.param(1000.0, 1000.0, 45.0, id="isosceles"),
        pytest.param(1000.0, 1000.0 * math.sqrt(3.0), 30.0, id="half an equilateral"),
        pytest.param(1000.0 * (2.0 - math.sqrt(3.0)), 1000.0, 15.0, id="15 degrees, the usual least"),
    ],
)
def test_q9_tip_back(b: float, h: float, degrees: float) -> None:
    assert math.degrees(eq.tip_back_angle(b, h)) == pytest.approx(degrees, rel=1e-13)
    found = ground_range(fixed(700.0, complex(3000.0 - b, h)), Stance2(0j, 3000.0 + 0j)).tip_back_min
    assert math.degrees(found.value) == pytest.approx(degrees, rel=1e-13)


def test_q10_turnover_by_hand() -> None:
    """Roskam II fig 9.1a, p. 219-220 (R2). Track = 2 L, so d = 45 deg; h = l_n sin d makes psi = 45 deg."""
    wheelbase, l_n = 1800.0, 1500.0
    h = l_n * math.sqrt(0.5)
    assert math.degrees(eq.turnover_angle(h, l_n, wheelbase, 2 * wheelbase)) == pytest.approx(45.0, rel=1e-13)


@settings(derandomize=True, max_examples=80, deadline=None)
@given(wheelbase=length, track=length, h=length, part=st.floats(0.5, 0.95), bl=st.floats(-60.0, 60.0))
def test_q10_turnover_is_the_slope_to_the_nearer_side_line(wheelbase, track, h, part, bl) -> None:
    """Second road: foot of the perpendicular from the CG in plan to each of the two side lines, in space geometry."""
    l_n = part * wheelbase
    cg = np.array([l_n, bl])
    nearest = math.inf
    for side in (0.5, -0.5):
        wheel = np.array([wheelbase, side * track])
        along = wheel / np.linalg.norm(wheel)
        nearest = min(nearest, float(np.linalg.norm(cg - (cg @ along) * along)))
    inside = (l_n * track / 2) / math.hypot(wheelbase, track / 2) - abs(bl) * wheelbase / math.hypot(
        wheelbase, track / 2
    )
    if inside <= 1.0:
        return
    found = turnover(fixed(700.0, complex(l_n, h), bl), Stance2(0j, wheelbase + 0j), track)
    assert found.value == pytest.approx(math.atan2(h, nearest), rel=1e-9)
    if bl == 0.0:
        assert found.value == pytest.approx(eq.turnover_angle(h, l_n, wheelbase, track), rel=1e-12)


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["mm", "in"])
def test_q5_dynamic_rating_of_the_studies(path) -> None:
    """14 CFR 23.733(a)(2), rule READ: the published form at the loading that is named as worst."""
    study = source(path).study
    gear = build(study)
    model, static = load_model(study), grounds(study, gear)[0].stance
    check = tyre_check(study, model, static)
    case = check.reaction.case
    b, h = static.to_main_mm(case.cg), static.height_mm(case.cg)
    formula = eq.forward_inertia_nose(case.mass_kg * 9.80665, b, h, static.wheelbase_mm, 0.31)
    assert check.reaction.value == pytest.approx(formula, rel=1e-12)
    heaviest = extreme(model, static.nose_load_form(model), constant_form(model), "max").value
    assert check.reaction.value > heaviest
