"""Columns: limits that must hold, and the eigenvalue of a chain of short beams as second road."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh

from linkage.loads.columns import bent_load, crippling_load, euler_load, stepped_euler_load
from tests.loads.bench import case


def finite_elements(ei: tuple[float, float], lengths: tuple[float, float], pieces: int = 24) -> float:
    """Least buckling load of the pin-ended stepped column: beam elements with their geometric stiffness."""
    nodes = 2 * pieces + 1
    elastic, geometric = np.zeros((2 * nodes, 2 * nodes)), np.zeros((2 * nodes, 2 * nodes))
    for i in range(2 * pieces):
        k = 0 if i < pieces else 1
        h = lengths[k] / pieces
        bend = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h]])
        bend = np.vstack([bend, -bend[0], [6 * h, 2 * h * h, -6 * h, 4 * h * h]]) * ei[k] / h**3
        lean = np.array([[36, 3 * h, -36, 3 * h], [3 * h, 4 * h * h, -3 * h, -h * h]])
        lean = np.vstack([lean, -lean[0], [3 * h, -h * h, -3 * h, 4 * h * h]]) / (30 * h)
        at = slice(2 * i, 2 * i + 4)
        elastic[at, at] += bend
        geometric[at, at] += lean
    free = [j for j in range(2 * nodes) if j not in (0, 2 * nodes - 2)]
    found = eigh(geometric[np.ix_(free, free)], elastic[np.ix_(free, free)], eigvals_only=True)
    return float(1.0 / found[-1])


@settings(max_examples=15, derandomize=True, deadline=None)
@given(st.floats(1e8, 1e10), st.floats(0.1, 10.0), st.floats(50.0, 400.0), st.floats(50.0, 400.0))
def test_stepped_column_is_the_eigenvalue_of_a_chain_of_beams(ei: float, ratio: float, a: float, b: float) -> None:
    found = stepped_euler_load((ei, ei * ratio), (a, b))
    assert found == pytest.approx(finite_elements((ei, ei * ratio), (a, b)), rel=2e-4)
    assert min(ei, ei * ratio) <= found * (a + b) ** 2 / math.pi**2 * (1 + 1e-9)


def test_stepped_column_of_two_equal_pieces_is_eulers() -> None:
    assert stepped_euler_load((3e9, 3e9), (200.0, 123.0)) == pytest.approx(euler_load(1.0, 3e9, 323.0), rel=1e-12)


def test_johnson_touches_euler_at_half_the_yield_stress() -> None:
    area, strength = 672.0, 260.0
    meet = area * strength / 2
    below, above = crippling_load(area, strength, meet * (1 - 1e-6)), crippling_load(area, strength, meet * (1 + 1e-6))
    assert above - below == pytest.approx(2e-6 * meet, rel=1e-5), "equal value and equal slope"
    assert crippling_load(area, strength, 1e12) == pytest.approx(area * strength, rel=1e-6)
    assert crippling_load(area, strength, meet / 4) == meet / 4


def test_johnson_in_terms_of_slenderness() -> None:
    """sigma_y - sigma_y^2 (L/rho)^2/(4 pi^2 E), the form in which the handbooks print it."""
    area, inertia, modulus, strength, length = 400.0, 2.5e4, 200_000.0, 400.0, 300.0
    slenderness = length / math.sqrt(inertia / area)
    printed = strength - strength**2 * slenderness**2 / (4 * math.pi**2 * modulus)
    assert crippling_load(area, strength, euler_load(modulus, inertia, length)) == pytest.approx(area * printed)


def test_bent_column_yields_at_its_edge() -> None:
    area, inertia, fibre, strength, offset = 672.0, 43_900.0, 14.0, 260.0, 5.0
    euler = euler_load(72_400.0, inertia, 322.8)
    found = bent_load(area, inertia, fibre, strength, euler, offset)
    edge = found / area + found * offset * fibre / inertia / (1 - found / euler)
    assert edge == pytest.approx(strength, rel=1e-12)
    assert bent_load(area, inertia, fibre, strength, euler, 0.0) == pytest.approx(min(area * strength, euler))


def test_brace_of_the_demo_is_judged_at_ultimate() -> None:
    loads = case().loads()
    press = 1.5 * loads.of("aft load").brace
    assert [c.member for c in loads.columns] == [
        "upper link",
        "lower link",
        "whole brace",
        "whole brace, bent by its offset",
    ]
    for column in loads.columns:
        assert column.ultimate == pytest.approx(press)
        assert column.margin == pytest.approx(column.capacity / press - 1)
    weak = case({"gear.brace.upper_section.inertia_across": 800, "gear.brace.lower_section.inertia_across": 800})
    whole = next(c for c in weak.loads().columns if c.member == "whole brace")
    assert whole.method == "Euler" and whole.margin < 0
    assert whole.capacity == pytest.approx(math.pi**2 * 72_400 * 800 / weak.gear.brace.span**2, rel=1e-9)


def test_without_sections_nothing_is_judged() -> None:
    from tests.studies import OSTREL

    assert case({}, OSTREL).loads().columns == ()
