"""J. P. Den Hartog, Mechanics, problem 31, toggle. Status READ; the answer is symbolic: only rounding is allowed for.

K10: two equal links at the angle alpha to the line of their far ends; the force Q on the knee that holds a force P on
the far end is 2 P tan(alpha), so that P/Q grows without bound as the links come into line.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from linkage.mechanism import GROUND, Load, Mechanism, Pin, Slide, balance, effort_by_work, plan, solve

DRAWN, P = math.radians(50), 300.0
KNEE = cmath.rect(2.0, DRAWN)
END = complex(2 * KNEE.real, 0.0)
TOGGLE = Mechanism(
    (
        Pin("root", GROUND, "near link", 0j),
        Pin("knee", "near link", "far link", KNEE),
        Pin("end", "far link", "block", END),
        Slide("guide", GROUND, "block", END, 1.0 + 0j),
    ),
    "root",
)


@pytest.mark.parametrize("degrees", [60.0, 45.0, 20.0, 5.0, 0.5, 0.01])
def test_the_toggle_holds_by_twice_the_tangent(degrees: float) -> None:
    alpha = math.radians(degrees)
    motion = solve(plan(TOGGLE), alpha - DRAWN)
    knee_force = 2 * P * math.tan(alpha)
    loads = [Load("near link", KNEE, -1j * knee_force)]  # Q presses the knee towards the line
    for held in (balance(TOGGLE, motion, loads, "guide").effort, effort_by_work(TOGGLE, motion, loads, "guide")):
        assert -held[0, 0] == pytest.approx(P, rel=1e-10)


def test_the_advantage_grows_without_bound() -> None:
    alpha = np.radians([10.0, 1.0, 0.1, 0.01])
    motion = solve(plan(TOGGLE), alpha - DRAWN)
    advantage = -balance(TOGGLE, motion, [Load("near link", KNEE, -1j)], "guide").effort[0]
    assert advantage == pytest.approx(1 / (2 * np.tan(alpha)), rel=1e-10)
    assert advantage[1:] / advantage[:-1] == pytest.approx(np.full(3, 10.0), rel=0.02)
