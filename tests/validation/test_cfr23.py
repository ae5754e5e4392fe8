"""Ground conditions against a table worked from the rules: by the set of conditions and by the plain equations.

Source: 14 CFR Part 23, 2015 edition, and a table worked from it.
"""

from __future__ import annotations

import pytest

from linkage.loading import equations as eq
from linkage.report.validation import Check
from linkage.report.validation.rules import HEIGHT, SHARES, WEIGHT, WHEELBASE, entries, nose_load
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("cfr23"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


@pytest.mark.parametrize("share", SHARES)
def test_plain_equations_say_the_same(share: float) -> None:
    b = share * WHEELBASE
    static = eq.static_split(WEIGHT, b, WHEELBASE)[0]
    four = eq.nose_conditions(static, 2.25, 0.8, 0.4, 0.7)
    landing, drag = eq.level_landing_nose(WEIGHT, b, HEIGHT, WHEELBASE, 2.67, 2.0 / 3.0, eq.inclination_factor(WEIGHT))
    by_equation = {
        "static": static,
        "vertical": four.vertical,
        "aft": four.aft,
        "forward": four.forward,
        "side": four.side,
        "braked roll": eq.braked_roll_nose(WEIGHT, b, HEIGHT, WHEELBASE, 1.33, 0.8),
        "landing": landing,
        "landing drag": drag,
        "tyre 0.31 g": eq.forward_inertia_nose(WEIGHT, b, HEIGHT, WHEELBASE, 0.31),
        "drop 0.33 g": eq.forward_inertia_nose(WEIGHT, b, HEIGHT, WHEELBASE, 0.33),
    }
    for name, found in by_equation.items():
        assert nose_load(name, share) == pytest.approx(found, rel=1e-12), name


def test_where_the_loads_of_23_499_act() -> None:
    known = entries()
    assert known["aft load"].at == known["forward load"].at == "axle"
    assert known["side load right"].at == known["side load left"].at == "contact"
    assert known["side load left"].side == -known["side load right"].side


def test_towing_loads_the_fitting_only() -> None:
    tow = [c for c in entries().values() if c.rule == "23.509"]
    assert len(tow) == 6
    assert all(c.loads == "tow fitting" and c.of == "weight" for c in tow)
