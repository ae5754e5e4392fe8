"""Numbers with slopes, against derivatives by mpmath in 30 digits."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import mpmath
import numpy as np
import pytest

from linkage.plane.duals import RULES, Dual, slope_of, value_of

REAL: dict[str, tuple[Callable[[Any], Any], Callable[[Any], Any]]] = {
    "sqrt": (np.sqrt, mpmath.sqrt),
    "exp": (np.exp, mpmath.exp),
    "sin": (np.sin, mpmath.sin),
    "cos": (np.cos, mpmath.cos),
    "tan": (np.tan, mpmath.tan),
    "arcsin": (np.arcsin, mpmath.asin),
    "arctan": (np.arctan, mpmath.atan),
    "absolute": (np.absolute, mpmath.fabs),
    "negative": (np.negative, lambda x: -x),
    "square": (np.square, lambda x: x * x),
    "radians": (np.radians, mpmath.radians),
    "degrees": (np.degrees, mpmath.degrees),
    "cube": (lambda x: x**3, lambda x: x**3),
    "inverse": (lambda x: 2.0 / x, lambda x: 2 / x),
    "left": (lambda x: 2.0 - x, lambda x: 2 - x),
}


@pytest.mark.parametrize("name", REAL)
def test_functions_of_one_number(name: str) -> None:
    ours, theirs = REAL[name]
    for x in (0.3, 0.71):
        found = ours(Dual(x, np.array([1.0, -2.0])))
        with mpmath.workdps(30):
            value, slope = float(theirs(mpmath.mpf(x))), float(mpmath.diff(theirs, mpmath.mpf(x)))
        assert value_of(found) == pytest.approx(value, rel=1e-15)
        assert slope_of(found, 2) == pytest.approx([slope, -2.0 * slope], rel=1e-14)


def test_every_rule_is_tested() -> None:
    apart = {"add", "subtract", "multiply", "divide", "conjugate", "conj", "hypot", "arctan2"}
    assert {rule.__name__ for rule in RULES} <= set(REAL) | apart | {"deg2rad", "rad2deg"}


def test_functions_of_two_numbers() -> None:
    a, b = Dual(0.4, np.array([1.0, 0.0])), Dual(-1.3, np.array([0.0, 1.0]))
    for ours, theirs in (
        (lambda x, y: np.arctan2(x, y), mpmath.atan2),
        (lambda x, y: np.hypot(x, y), mpmath.hypot),
        (lambda x, y: x * y / (x + y) - y, lambda x, y: x * y / (x + y) - y),
    ):
        found = ours(a, b)
        with mpmath.workdps(30):
            by = [mpmath.diff(theirs, (0.4, -1.3), order) for order in ((1, 0), (0, 1))]
        assert slope_of(found, 2) == pytest.approx([float(x) for x in by], rel=1e-13)


def test_points_of_the_plane() -> None:
    """|z|, direction and angle of z = x + iy, each by x and by y, where the formulas are plain."""
    z = Dual(3.0 + 4.0j, np.array([1.0, 1.0j]))
    assert slope_of(abs(z), 2) == pytest.approx([0.6, 0.8], rel=1e-15)
    assert slope_of((z * z.conjugate()).real, 2) == pytest.approx([6.0, 8.0], rel=1e-15)
    assert slope_of(np.arctan2(z.imag, z.real), 2) == pytest.approx([-4 / 25, 3 / 25], rel=1e-15)
    turned = z / abs(z)  # square to itself
    assert np.real(np.conjugate(turned.value) * turned.slope) == pytest.approx([0.0, 0.0], abs=1e-16)


def test_arrays_choices_and_plain_values() -> None:
    x = Dual(np.array([1.0, -2.0]), np.array([[1.0], [1.0]]))
    chosen = np.where(x.value > 0, x * x, -x)
    assert chosen.value.tolist() == [1.0, 2.0]
    assert chosen.slope[:, 0].tolist() == [2.0, -1.0]
    assert (np.array([2.0, 3.0]) * x).slope[:, 0].tolist() == [2.0, 3.0]
    assert np.asarray(x, dtype=np.complex128).tolist() == [1.0, -2.0]
    assert np.sign(x).tolist() == [1.0, -1.0]


def test_a_function_without_a_rule_is_refused() -> None:
    with pytest.raises(TypeError):
        np.cbrt(Dual(1.0, np.ones(1)))
