"""The kernel's loop equations and their Jacobian against the same written down symbolically and differentiated."""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp

from linkage.mechanism import GROUND, Joint, Pin, Slide, newton
from linkage.mechanism.groups import State

Matrices = tuple[sp.Matrix, sp.Matrix]
COORDINATES = {body: sp.symbols(f"x_{body} y_{body} t_{body}", real=True) for body in ("one", "two")}
ANCHORS = {"one": 1.5 - 0.5j, "two": -2.0 + 3.0j}


def rotation(angle: sp.Expr) -> sp.Matrix:
    return sp.Matrix([[sp.cos(angle), -sp.sin(angle)], [sp.sin(angle), sp.cos(angle)]])


def place(body: str, z: complex) -> sp.Matrix:
    if body == GROUND:
        return sp.Matrix([z.real, z.imag])
    x, y, angle = COORDINATES[body]
    arm = z - ANCHORS[body]
    return sp.Matrix([x, y]) + rotation(angle) * sp.Matrix([arm.real, arm.imag])


def angle_of(body: str) -> sp.Expr:
    return sp.Integer(0) if body == GROUND else COORDINATES[body][2]


def equations(j: Joint) -> sp.Matrix:
    """A pin: both bodies carry the point. A slide: the sine of the relative turn, and the shift square to the axis."""
    gap = place(j.b, complex(j.at)) - place(j.a, complex(j.at))
    if isinstance(j, Pin):
        return gap
    e = complex(j.along) / abs(j.along)
    normal = rotation(angle_of(j.a)) * sp.Matrix([-e.imag, e.real])
    return sp.Matrix([sp.sin(angle_of(j.b) - angle_of(j.a)), normal.dot(gap)])


@pytest.mark.parametrize("ends", [("one", "two"), ("two", "one"), (GROUND, "two"), ("one", GROUND)], ids=str)
@pytest.mark.parametrize("slides", [False, True], ids=["pin", "slide"])
def test_loop_equations_and_jacobian(ends: tuple[str, str], slides: bool) -> None:
    at = 4.0 - 7.0j
    j: Joint = Slide("j", *ends, at, 3 + 4j) if slides else Pin("j", *ends, at)
    unknowns = [c for body in ("one", "two") for c in COORDINATES[body]]
    symbolic = equations(j)
    values = sp.lambdify(unknowns, [symbolic, symbolic.jacobian(unknowns)], "numpy")
    rng = np.random.default_rng(5)
    for _ in range(10):  # random poses, in which the joint is wide open
        x = rng.uniform(-5, 5, 6)
        state = State(
            anchors={b: np.array([[z]]) for b, z in ANCHORS.items()},
            pose={
                "one": (np.array([[x[0] + 1j * x[1]]]), np.exp([[1j * x[2]]])),
                "two": (np.array([[x[3] + 1j * x[4]]]), np.exp([[1j * x[5]]])),
            },
        )
        rest, matrix = values(*x)
        assert newton.residual(state, [j], (1, 1))[0, 0] == pytest.approx(rest.ravel(), abs=1e-12)
        found = newton.jacobian(state, [j], ("one", "two"), (1, 1))[0, 0]
        assert found == pytest.approx(np.asarray(matrix, dtype=float), abs=1e-12)
