"""Published load splits and CG examples. Source, status and tolerance (from the printed digits) stand at each row.

Status: READ = inputs and answer were read in a copy of the source; R2 = in a detailed transcription that quotes page
and equation; MEM = from memory, confirmed only by recomputation; CALC = derived in the reference sheet. Rows are
worked in the units they are printed in: nothing here depends on the unit as long as it is one.
"""

from __future__ import annotations

import pytest

from linkage.loading import (
    LoadItem,
    LoadModel,
    Reading,
    Stance2,
    constant_form,
    extreme,
    ground_range,
    moment_form,
    weigh,
)
from linkage.loading import equations as eq
from linkage.units import STANDARD_GRAVITY

# W1-W3. FAA-H-8083-1B, READ: nose 340 lb of 2006 lb, wheelbase 78 in. Printed to 0.1 in, so half a digit.
FAA_WEIGHT, FAA_NOSE, FAA_WHEELBASE = 2006.0, 340.0, 78.0


@pytest.mark.parametrize(
    ("datum_to_mains", "published"),
    [
        pytest.param(0.0, -13.2, id="W1 CG ahead of the mains"),
        pytest.param(128.0, 114.8, id="W2 datum 128 in ahead of the mains"),
        pytest.param(-75.0, -88.2, id="W3 datum 75 in aft of the mains"),
    ],
)
def test_weighing_with_the_datum_anywhere(datum_to_mains: float, published: float) -> None:
    formula = eq.weighing_arm(datum_to_mains, FAA_NOSE, FAA_WHEELBASE, FAA_WEIGHT)
    scales = weigh(
        [
            Reading("nose", FAA_NOSE, datum_to_mains - FAA_WHEELBASE, "wheel"),
            Reading("mains", FAA_WEIGHT - FAA_NOSE, datum_to_mains, "group"),
        ]
    )
    assert formula == pytest.approx(published, abs=0.05)
    assert scales.station_mm == pytest.approx(formula, abs=1e-9)  # the two roads differ by rounding only
    assert scales.mass_kg == FAA_WEIGHT


@pytest.mark.parametrize(
    ("nose", "main_each", "mass", "published", "tolerance"),
    [
        # Mass-and-balance exam banks, READ. Printed 3.06 m and 680.3 in.
        pytest.param((1100.0, 1.2), (2300.0, 3.5), 5700.0, 3.06, 0.005, id="W4"),
        pytest.param((6488.0, 161.0), (17783.0, 775.0), 42054.0, 680.3, 0.05, id="W6"),
    ],
)
def test_two_mains_weighed_one_by_one(nose, main_each, mass, published, tolerance) -> None:
    scales = weigh(
        [Reading("nose", *nose, per="wheel"), Reading("main", *main_each, per="leg", legs=2, wheels_per_leg=1)]
    )
    assert scales.mass_kg == mass
    assert scales.station_mm == pytest.approx(published, abs=tolerance)


def test_w6_moment() -> None:
    """W6, READ: moment 28 608 218 kg in, printed to the unit."""
    scales = weigh([Reading("nose", 6488.0, 161.0, "leg"), Reading("mains", 17783.0, 775.0, "leg", legs=2)])
    assert scales.mass_kg * scales.station_mm == pytest.approx(28608218.0, abs=0.5)


def test_w8_per_wheel_is_not_per_leg() -> None:
    """W8, exam bank, READ: 2 nose wheels x 500 kg, 4 main wheels x 6000 kg, 10 m: CG 0.4 m ahead of the mains, exact.

    The trap: 500 and 6000 are what ONE wheel weighs. Read as legs for the nose and wheels for the mains, or as wheels
    without counting them, the CG comes out elsewhere; read as legs throughout, half the aircraft is missing.
    """

    def ahead_of_mains(nose_per: str, main_per: str) -> tuple[float, float]:
        scales = weigh(
            [
                Reading("nose", 500.0, -10.0, nose_per, legs=1, wheels_per_leg=2),  # type: ignore[arg-type]
                Reading("main", 6000.0, 0.0, main_per, legs=2, wheels_per_leg=2),  # type: ignore[arg-type]
            ]
        )
        return -scales.station_mm, scales.mass_kg

    distance, mass = ahead_of_mains("wheel", "wheel")
    assert distance == pytest.approx(0.4, rel=1e-15)
    assert mass == 25000.0
    assert distance / 10.0 == pytest.approx(0.04, rel=1e-15)
    assert ahead_of_mains("leg", "wheel")[0] == pytest.approx(0.2041, abs=5e-5)
    assert ahead_of_mains("group", "group")[0] == pytest.approx(0.7692, abs=5e-5)
    assert ahead_of_mains("leg", "leg") == (pytest.approx(0.4), 12500.0)


def fixed(weight: float, cg: complex) -> LoadModel:
    """One loading that cannot vary, so that its extremes are that loading."""
    return LoadModel(weight, cg.real, cg.imag, (), mass_cap_kg=weight)


def test_w9_share() -> None:
    """W9, college-physics text problem, READ: CG 2.58, nose wheel 0.800, mains 3.02 m from the nose: 19.82 %."""
    stance = Stance2(0.800 + 0j, 3.02 + 0j)
    ground = ground_range(fixed(1.0, 2.58 + 1j), stance)
    assert 100 * ground.share_min.value == pytest.approx(19.82, abs=0.005)
    assert ground.share_max.value == ground.share_min.value


def test_w10_three_wheels() -> None:
    """W10, college-physics text problem, READ: 2.85e6 N, 15 m, CG 11.8 m aft of the nose wheel. Three digits: 0.5 %."""
    nose, mains = eq.static_split(2.85e6, 15.0 - 11.8, 15.0)
    assert nose == pytest.approx(6.08e5, rel=0.005)
    assert mains / 2 == pytest.approx(1.121e6, rel=0.005)
    ground = ground_range(fixed(2.85e6 / STANDARD_GRAVITY, 11.8 + 3j), Stance2(0j, 15.0 + 0j))
    assert ground.nose_load_max.value == pytest.approx(nose, rel=1e-12)
    assert ground.main_load_max.value == pytest.approx(mains, rel=1e-12)


@pytest.mark.parametrize(
    ("weight", "to_main", "to_nose", "nose", "main_each"),
    [
        # Roskam, Airplane Design Part II, R2; l_m and l_n in inches, loads in lb, printed to the pound.
        pytest.param(127000.0, 60.0, 520.0, 13138.0, 56931.0, id="W13 p. 231"),
        pytest.param(64905.0, 20.0, 185.0, 6332.0, 29286.0, id="W14 p. 234"),
        pytest.param(7900.0, 34.0, 171.0, 1310.0, 3295.0, id="W15 p. 230"),
    ],
)
def test_per_strut_loads(weight: float, to_main: float, to_nose: float, nose: float, main_each: float) -> None:
    found, mains = eq.static_split(weight, to_main, to_main + to_nose)
    assert found == pytest.approx(nose, abs=0.5)
    assert mains / 2 == pytest.approx(main_each, abs=0.5)
    ground = ground_range(fixed(weight, to_nose + 50j), Stance2(0j, to_nose + to_main + 0j))
    assert ground.nose_load_max.value / STANDARD_GRAVITY == pytest.approx(nose, abs=0.5)
    assert ground.main_load_max.value / STANDARD_GRAVITY / 2 == pytest.approx(main_each, abs=0.5)


@pytest.mark.parametrize(
    ("items", "weight", "moment", "published"),
    [
        # FAA AC 43.13-1B fig 10-10, READ: printed to 0.1 in.
        pytest.param([(17, -49), (170, 16), (83, 22)], 1439.0, 16104.0, 11.2, id="W18"),
        # FAA AC 43.13-1B fig 10-11, sums READ, quotient MEM.
        pytest.param([(17, -49), (170, 16), (340, 48), (240, 22), (100, 75.5)], 2036.0, 43428.0, 21.3, id="W19"),
    ],
)
def test_loading_tables(items, weight: float, moment: float, published: float) -> None:
    """Empty 1169 lb at +10.6 in and fixed items; moment printed to the lb-in, CG to 0.1 in."""
    made = tuple(LoadItem(f"item{i}", w, w, x, 0.0) for i, (w, x) in enumerate(items))
    model = LoadModel(1169.0, 10.6, 0.0, made, mass_cap_kg=3000.0)
    case = extreme(model, moment_form(model), constant_form(model), "max").case
    assert case.mass_kg == weight
    assert case.moment_kgmm == pytest.approx(moment, abs=0.5)
    assert case.fs_mm == pytest.approx(published, abs=0.05)


def test_m2_taxiing_jet() -> None:
    """M2, Hibbeler, Dynamics 14th SI, prob. 17-24, MEM: speeding up under thrust at two heights. Printed to 0.1 kN."""
    weight = 22.0 * 9.81  # kN; the book's g
    thrust = [(4.0, 2.3), (1.5, 2.5)]
    total = sum(t for t, _ in thrust)
    height = sum(t * z for t, z in thrust) / total
    nose = eq.accelerated_nose(weight, 3.0, 1.2, 9.0, -total, -total, height)
    assert nose == pytest.approx(72.6, abs=0.1)
    assert (weight - nose) / 2 == pytest.approx(71.6, abs=0.1)


def test_m4_fraction_of_chord() -> None:
    """M4, FAA-H-8083-1B ch. 3, MEM: MAC 144 to 206 in, CG 161: 27.4 %."""
    assert 100 * eq.mac_fraction(161.0, 144.0, 206.0 - 144.0) == pytest.approx(27.4, abs=0.05)


# The worked table of the reference sheet's rules, CALC on rules READ (14 CFR 23, 2015): W 3000 lb, wheelbase 80 in,
# CG height 40 in, n 2.67, L 2/3, K 0.25. Columns: share, static, 2.25x, aft, forward, side, braked roll, three-point
# V and D, tyre, drop.
WORKED = [
    (0.10, 300.0, 675.0, 540.0, 270.0, 472.5, 1425.0, 1602.0, 534.0, 765.0, 795.0),
    (0.15, 450.0, 1012.5, 810.0, 405.0, 708.8, 1567.5, 1903.0, 634.0, 915.0, 945.0),
    (0.20, 600.0, 1350.0, 1080.0, 540.0, 945.0, 1710.0, 2203.0, 734.0, 1065.0, 1095.0),
]


@pytest.mark.parametrize("row", WORKED, ids=[f"{row[0]:.0%}" for row in WORKED])
def test_worked_table_of_ground_conditions(row: tuple[float, ...]) -> None:
    share, static, vertical, aft, forward, side, braked, landing_v, landing_d, tyre, drop = row
    weight, wheelbase, h = 3000.0, 80.0, 40.0
    b = share * wheelbase
    assert eq.static_split(weight, b, wheelbase)[0] == pytest.approx(static, abs=1e-9)
    # Q7, 14 CFR 23.499(a)-(c), READ; 708.75 is printed 708.8.
    found = eq.nose_conditions(static, 2.25, 0.8, 0.4, 0.7)
    assert (found.vertical, found.aft, found.forward) == pytest.approx((vertical, aft, forward), abs=1e-9)
    assert found.side == pytest.approx(side, abs=0.05)
    # Q6, 14 CFR 23.493, rule READ.
    assert eq.braked_roll_nose(weight, b, h, wheelbase, 1.33, 0.8) == pytest.approx(braked, abs=1e-9)
    # Q8, 14 CFR 23 Appendix C, READ; printed to the pound.
    k = eq.inclination_factor(weight)
    found_v, found_d = eq.level_landing_nose(weight, b, h, wheelbase, 2.67, 2.0 / 3.0, k)
    assert found_v == pytest.approx(landing_v, abs=0.5)
    assert found_d == pytest.approx(landing_d, abs=0.5)
    # Q5, 14 CFR 23.733(a)(2), rule READ; drop weight 23.725.
    assert eq.forward_inertia_nose(weight, b, h, wheelbase, 0.31) == pytest.approx(tyre, abs=1e-9)
    assert eq.forward_inertia_nose(weight, b, h, wheelbase, 0.33) == pytest.approx(drop, abs=1e-9)
