"""Turnover angle against plain space geometry, dynamic tyre rating of the studies against the rule's own form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.gear import build
from linkage.loading import LoadModel, Stance2, turnover
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
