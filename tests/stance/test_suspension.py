"""At rest on struts and tyres: balance by a second road, and every way in which there is no rest."""

from __future__ import annotations

import cmath
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from linkage.errors import MechanismError
from linkage.gear import build
from linkage.stance.suspension import Suspension, rest, suspension
from linkage.units import STANDARD_GRAVITY
from tests.stance.springs import SPRINGS
from tests.studies import changed


def springs(entries: dict[str, Any] = SPRINGS) -> Suspension:
    study = changed({"springs": entries})
    found = suspension(study, build(study))
    assert found is not None
    return found


def by_equations(s: Suspension, mass: float, cg: complex) -> tuple[float, float, float]:
    """Share, pitch and compression from five equations of the unknowns nose load (kN), pitch, compression, radius and
    main travel (m), solved at once. Nothing of ``rest`` is used but the springs themselves."""
    weight = mass * STANDARD_GRAVITY

    def give(spring, load: float) -> float:
        return float(spring.at(np.array(load)))

    def equations(x: np.ndarray) -> list[float]:
        nose, pitch, compression, radius, travel = x[0] * 1e3, x[1], x[2] * 1e3, x[3] * 1e3, x[4] * 1e3
        aft = cmath.rect(1.0, pitch)
        up = 1j * aft
        main, axle = s.main + 1j * travel, s.axle - compression * s.down
        lean = -(s.down * up.conjugate()).real
        leg = (weight - nose) / s.struts
        moment = nose * ((main - axle) * aft.conjugate()).real - weight * ((main - cg) * aft.conjugate()).real
        return [
            moment / weight / 1e3,
            ((axle - main) * aft.conjugate()).imag / 1e3 - radius / 1e3,
            (compression - give(s.nose_strut, nose * lean)) / 1e3,
            (radius - s.round_radius + give(s.nose_tyre, nose)) / 1e3,
            (travel - sum(give(g, leg) for g in s.main_gives) + s.drawn) / 1e3,
        ]

    found = root(equations, [0.15 * weight / 1e3, 0.0, 0.05, 0.145, 0.0], method="hybr", options={"xtol": 1e-14})
    assert max(abs(v) for v in equations(found.x)) < 1e-11, found.message
    return found.x[0] * 1e3 / weight, found.x[1], found.x[2] * 1e3


LOADINGS = [(536.0, 2277.33 + 923.7j), (750.0, 2360.6 + 911.6j), (750.0, 2317.9 + 896.9j), (620.0, 2330.0 + 900.0j)]


def test_rest_solves_the_equations_of_force_and_moment() -> None:
    s = springs()
    found = rest(s, np.array([m for m, _ in LOADINGS]), np.array([z for _, z in LOADINGS]))
    for k, (mass, cg) in enumerate(LOADINGS):
        share, pitch, compression = by_equations(s, mass, cg)
        assert found.share[k] == pytest.approx(share, abs=1e-10)
        assert np.angle(found.direction[k]) == pytest.approx(pitch, abs=1e-10)
        assert found.compression[k] == pytest.approx(compression, abs=1e-6)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(
    mass=st.floats(400.0, 900.0),
    fs=st.floats(2150.0, 2450.0),
    wl=st.floats(700.0, 1100.0),
    nose=st.floats(20.0, 400.0),
    tyre=st.floats(40.0, 400.0),
    main=st.floats(20.0, 400.0),
)
def test_any_rates_balance_about_the_nose_too(mass, fs, wl, nose, tyre, main) -> None:
    """``rest`` takes moments about the mains; about the nose contact they vanish too, and the ground touches."""
    entries = {
        "nose_strut": {"rate": nose, "source": "x"},
        "nose_tyre": {"rate": tyre, "source": "x"},
        "main_strut": {"rate": main, "source": "x"},
        "main_drawn_load": 2700,
    }
    s, cg = springs(entries), complex(fs, wl)
    r = rest(s, np.array([mass]), np.array([cg]))
    aft = complex(r.direction[0])
    aft_of_nose = ((cg - complex(r.nose[0])) * aft.conjugate()).real
    wheelbase = abs(r.main[0] - r.nose[0])
    assert (1.0 - r.share[0]) * wheelbase == pytest.approx(aft_of_nose, abs=1e-7)
    above = ((complex(r.axle[0]) - complex(r.nose[0])) * aft.conjugate()).imag
    assert above == pytest.approx(r.radius[0], abs=1e-9)
    lean = -(s.down * (1j * aft).conjugate()).real
    load = float(r.share[0]) * mass * STANDARD_GRAVITY
    assert r.compression[0] == pytest.approx(min(load * lean / nose, 140.0), abs=1e-8)
    assert r.main_travel[0] == pytest.approx((mass * STANDARD_GRAVITY - load) / 2 / main - 2700 / main, abs=1e-8)


def test_many_loadings_are_solved_as_one_by_one() -> None:
    s = springs()
    masses, places = np.array([m for m, _ in LOADINGS]), np.array([z for _, z in LOADINGS])
    together = rest(s, masses, places)
    for k in range(len(LOADINGS)):
        alone = rest(s, masses[k : k + 1], places[k : k + 1])
        assert alone.share[0] == pytest.approx(together.share[k], abs=1e-11)


def test_softer_nose_dips_further() -> None:
    pitches = []
    for rate in (400.0, 100.0, 40.0):
        s = springs({"nose_strut": {"rate": rate, "source": "x"}})
        r = rest(s, np.array([750.0]), np.array([2317.9 + 896.9j]))
        pitches.append(float(np.angle(r.direction[0])))
    assert pitches[0] > pitches[1] > pitches[2]


def test_a_loading_behind_the_mains_tips() -> None:
    with pytest.raises(MechanismError, match="tips onto its tail"):
        rest(springs(), np.array([700.0]), np.array([2700.0 + 900.0j]))


def test_a_load_beyond_the_curve_is_told_with_both_numbers() -> None:
    short = {"nose_tyre": {"curve": [[0, 0], [1000, 30]], "source": "x"}}
    with pytest.raises(MechanismError, match="nose_tyre: the curve ends at 1000 N, the loadings reach 12"):
        rest(springs(short), np.array([750.0]), np.array([2317.9 + 896.9j]))


def test_a_bottomed_strut_needs_no_more_curve() -> None:
    s = springs({"nose_strut": {"curve": [[0, 0], [1000, 140]], "source": "x"}})
    r = rest(s, np.array([750.0]), np.array([2317.9 + 896.9j]))
    assert r.compression[0] == 140.0


def test_more_than_one_rest_is_refused() -> None:
    """Hardly any give up to 1000 N, then 140 mm within 200 N: light on the nose it stands high and stays light, pushed
    down it sinks, its CG comes forward and it stays down."""
    entries = {"nose_strut": {"curve": [[0, 0], [1000, 0], [1200, 140], [9000, 140]], "source": "x"}}
    s = springs(entries)
    high, low = 2350.0 + 900.0j, 2340.0 + 900.0j
    with pytest.raises(MechanismError, match="3 attitudes at rest"):
        rest(s, np.array([750.0]), np.array([high]))
    assert rest(s, np.array([750.0]), np.array([low])).compression[0] == 140.0
