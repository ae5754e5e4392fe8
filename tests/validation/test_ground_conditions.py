"""Ground conditions against a worked table: 3000 lb, wheelbase 80 in, CG 40 in above the ground, n 2.67, lift 2/3.

Rules: 14 CFR 23.499(a)-(c), 23.493, 23.479(a)(2)(i) with Appendix C (K 0.25), 23.733(a)(2), 23.725, 2015 edition
(read). The table was worked by hand from them for three static shares; tolerances are half of its last digit.
"""

from __future__ import annotations

import pytest

from linkage.document.conditions import ConditionEntry, condition_set
from linkage.loads.conditions import RELATIONS
from linkage.units import POUND

WEIGHT, WHEELBASE, HEIGHT = 3000.0, 80.0, 40.0
CONDITIONS = {c.name: c for c in condition_set("cfr23-2015").condition}


def nose(entry: ConditionEntry, share: float) -> float:
    """Vertical load in lb."""
    vertical = RELATIONS[entry.basis](entry, WEIGHT * POUND)
    return vertical.load(WEIGHT, share * WHEELBASE, HEIGHT, WHEELBASE)


def dynamic(forward_g: float) -> ConditionEntry:
    return ConditionEntry(name="d", rule="r", basis="dynamic", factor=1, forward_g=forward_g)


@pytest.mark.parametrize(
    ("share", "static", "raised", "aft", "forward", "side", "braked", "landing", "drag", "tyre", "drop"),
    [
        (0.10, 300, 675, 540, 270, 472.5, 1425, 1602, 534, 765, 795),
        (0.15, 450, 1012.5, 810, 405, 708.8, 1567.5, 1903, 634, 915, 945),
        (0.20, 600, 1350, 1080, 540, 945, 1710, 2203, 734, 1065, 1095),
    ],
)
def test_worked_table(
    share: float,
    static: float,
    raised: float,
    aft: float,
    forward: float,
    side: float,
    braked: float,
    landing: float,
    drag: float,
    tyre: float,
    drop: float,
) -> None:
    assert nose(CONDITIONS["static 1 g"], share) == pytest.approx(static, abs=1e-9)
    for name, attribute, wanted in (
        ("aft load", "fore_aft", aft),
        ("forward load", "fore_aft", -forward),
        ("side load right", "side", side),
        ("side load left", "side", -side),
    ):
        entry = CONDITIONS[name]
        vertical = nose(entry, share)
        assert vertical == pytest.approx(raised, abs=1e-9)
        assert vertical * getattr(entry, attribute) == pytest.approx(wanted, abs=0.051)
    assert nose(CONDITIONS["braked roll"], share) == pytest.approx(braked, abs=0.05)
    entry = CONDITIONS["three-point level landing"]
    vertical = nose(entry, share)
    assert vertical == pytest.approx(landing, abs=0.5)
    assert vertical * RELATIONS[entry.basis](entry, WEIGHT * POUND).lean == pytest.approx(drag, abs=0.5)
    assert nose(dynamic(0.31), share) == pytest.approx(tyre, abs=0.05)
    assert nose(dynamic(0.33), share) == pytest.approx(drop, abs=0.05)


def test_where_the_loads_of_23_499_act() -> None:
    assert CONDITIONS["aft load"].at == CONDITIONS["forward load"].at == "axle"
    assert CONDITIONS["side load right"].at == CONDITIONS["side load left"].at == "contact"


def test_towing() -> None:
    """23.509(d): 0.3 W fore and aft, 0.15 W in the plane of the wheel swivelled 45 deg; for the fitting only."""
    tow = [c for c in CONDITIONS.values() if c.rule == "23.509"]
    sizes = sorted(round((c.fore_aft or 0.0) ** 2 + c.side**2, 12) ** 0.5 for c in tow)
    assert sizes == pytest.approx([0.15] * 4 + [0.3] * 2)
    assert all(c.loads == "tow fitting" and c.of == "weight" for c in tow)
