"""Published equations against the statics they come from. Published numbers: tests/validation."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.loading import Stance2
from linkage.loading import equations as eq

length = st.floats(100.0, 3000.0)


@settings(derandomize=True, max_examples=50)
@given(b=st.floats(10.0, 500.0), h=length, wheelbase=length, mu=st.floats(0.0, 1.0))
def test_braked_roll_balances(b: float, h: float, wheelbase: float, mu: float) -> None:
    """Moments about the main contact with the drag mu V_m at the ground and the inertia it causes at the CG."""
    weight, n = 1000.0, 1.33
    nose = eq.braked_roll_nose(weight, b, h, wheelbase, n, mu)
    mains = n * weight - nose
    assert nose * wheelbase == pytest.approx(n * weight * b + mu * mains * h, rel=1e-10)


@settings(derandomize=True, max_examples=50)
@given(b=st.floats(10.0, 500.0), h=length, wheelbase=length, k=st.floats(0.25, 0.33))
def test_level_landing_balances(b: float, h: float, wheelbase: float, k: float) -> None:
    """Inclined reactions at both wheels, parallel to the resultant through the CG: no moment about the main contact."""
    weight, n, lift = 3000.0, 2.67, 2.0 / 3.0
    vertical, drag = eq.level_landing_nose(weight, b, h, wheelbase, n, lift, k)
    total_drag = k * n * weight
    assert vertical * wheelbase == pytest.approx((n - lift) * weight * b + total_drag * h, rel=1e-10)
    assert drag / vertical == pytest.approx(total_drag / ((n - lift) * weight), rel=1e-12)
    # The rule's own form: distances square to the resultant.
    lean = math.atan2(k * n, n - lift)
    b_dash, d_dash = b * math.cos(lean) + h * math.sin(lean), wheelbase * math.cos(lean)
    assert vertical == pytest.approx((n - lift) * weight * b_dash / d_dash, rel=1e-10)
    assert drag == pytest.approx(k * n * weight * b_dash / d_dash, rel=1e-10)


def test_inclination_factor_bends_where_the_rule_bends() -> None:
    assert eq.inclination_factor(2000.0) == 0.25
    assert eq.inclination_factor(3000.0) == 0.25
    assert eq.inclination_factor(4500.0) == pytest.approx(0.29, rel=1e-12)
    assert eq.inclination_factor(9000.0) == pytest.approx(0.33, rel=1e-12)


def test_split_and_stance_agree() -> None:
    stance = Stance2(800 + 0j, 2620 + 0j)
    nose, mains = eq.static_split(1000.0, stance.to_main_mm(2300 + 900j), stance.wheelbase_mm)
    assert nose / 1000.0 == pytest.approx(stance.share(2300 + 900j), rel=1e-12)
    assert nose + mains == pytest.approx(1000.0, rel=1e-12)
    assert eq.tip_back_angle(320.0, 900.0) == pytest.approx(stance.tip_back_rad(2300 + 900j), rel=1e-12)


def test_braking_at_ten_feet_per_second_squared() -> None:
    """Only the increment: 10/32.174 of W h/L."""
    assert eq.braking_increment(3000.0, 40.0, 80.0, 10.0, 32.174) == pytest.approx(466.214, abs=0.001)


def test_turnover_of_a_square() -> None:
    """Half track 1000 over wheelbase 1000: d = 45 deg; CG halfway at the height of its distance from the line."""
    aside = 500.0 * math.sin(math.pi / 4)
    assert eq.turnover_angle(aside, 500.0, 1000.0, 2000.0) == pytest.approx(math.pi / 4, rel=1e-12)
