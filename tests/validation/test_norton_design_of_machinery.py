"""R. L. Norton, Design of Machinery. Status MEM: from memory, confirmed by recomputation, except the open pair of the
slider-crank, READ. Tolerances are half a unit of the last printed digit unless said otherwise.

Every linkage is drawn in another position than the one asked for, so that the kernel has to bring it there.
"""

from __future__ import annotations

import cmath

import numpy as np
import pytest

from linkage.mechanism import GROUND, Load, Mechanism, Motion, Pin, balance, effort_by_work, plan, solve
from tests.mechanism.linkages import four_bar, meet, slider_crank

CRANK, COUPLER, ROCKER, BASE = 40.0, 120.0, 80.0, 100.0
DRAWN, ASKED = np.radians(95.0), np.radians(40.0)
OPEN, CROSSED = 1, -1


def direction(motion: Motion, mechanism: Mechanism, body: str, start: str, end: str) -> float:
    """Angle in degrees of the line from one joint to another on a body."""
    ends = [motion.point(body, mechanism.joint(name).at)[0, 0] for name in (start, end)]
    return float(np.degrees(cmath.phase(ends[1] - ends[0])))


def at_forty(side: int) -> tuple[Mechanism, Motion]:
    mechanism = four_bar(CRANK, COUPLER, ROCKER, BASE, DRAWN, side)
    return mechanism, solve(plan(mechanism), ASKED - DRAWN)


@pytest.mark.parametrize(
    ("side", "theta3", "theta4", "digit"),
    [
        pytest.param(OPEN, 20.298, 57.325, 0.0005, id="K1 open"),
        pytest.param(CROSSED, -60.98, -98.01, 0.01, id="K1 crossed, theta4 carries hand rounding"),
    ],
)
def test_positions_of_a_four_bar(side: int, theta3: float, theta4: float, digit: float) -> None:
    mechanism, motion = at_forty(side)
    assert direction(motion, mechanism, "coupler", "crank pin", "rocker pin") == pytest.approx(theta3, abs=digit)
    assert direction(motion, mechanism, "rocker", "rocker pivot", "rocker pin") == pytest.approx(theta4, abs=digit)


def test_velocities_of_a_four_bar() -> None:
    """K2: crank at 25 rad/s."""
    _, motion = at_forty(OPEN)
    assert 25 * motion.spin("coupler")[0, 0] == pytest.approx(-4.121, abs=0.0005)
    assert 25 * motion.spin("rocker")[0, 0] == pytest.approx(6.998, abs=0.0005)


def test_accelerations_of_a_four_bar() -> None:
    """K3: crank at 25 rad/s and 15 rad/s2."""
    _, motion = at_forty(OPEN)
    for body, published in (("coupler", 296.089), ("rocker", 470.134)):
        alpha = 15 * motion.spin(body)[0, 0] + 25**2 * motion.spin_rate(body)[0, 0]
        assert alpha == pytest.approx(published, abs=0.0005)


@pytest.mark.parametrize(
    ("side", "theta3", "place"),
    [
        pytest.param(1, 152.91, 126.84, id="K4 open, READ"),
        pytest.param(-1, 27.09, -86.84, id="K4 crossed, MEM"),
    ],
)
def test_positions_of_an_offset_slider_crank(side: int, theta3: float, place: float) -> None:
    mechanism = slider_crank(40, 120, -20, np.radians(-15), side)
    motion = solve(plan(mechanism), np.radians(60 + 15), order=0)
    # the book measures theta3 at the slider, towards the crank pin
    assert direction(motion, mechanism, "rod", "slider pin", "crank pin") == pytest.approx(theta3, abs=0.005)
    assert motion.point("slider", mechanism.joint("slider pin").at)[0, 0].real == pytest.approx(place, abs=0.005)


# K7, inches, pounds and blobs (lb s2/in): crank 5, coupler 15, rocker 10, base 19, crank at 60 deg
LINKS = {"crank": (0.004, 0.4, 3, 30), "coupler": (0.020, 1.5, 9, 45), "rocker": (0.015, 0.8, 5, 0)}
"""Mass, moment of inertia, and centre of gravity as distance and angle in degrees from the link's own line."""
OMEGA, ALPHA = 25.0, -40.0


def loaded_four_bar() -> tuple[Mechanism, Motion, list[Load]]:
    a = cmath.rect(5, np.radians(60))
    b = meet(a, 15, 19 + 0j, 10, OPEN)
    mechanism = Mechanism(
        (
            Pin("O2", GROUND, "crank", 0j),
            Pin("A", "crank", "coupler", a),
            Pin("B", "coupler", "rocker", b),
            Pin("O4", GROUND, "rocker", 19 + 0j),
        ),
        "O2",
    )
    motion = solve(plan(mechanism), 0.0)
    lines = {"crank": (0j, a), "coupler": (a, b - a), "rocker": (19 + 0j, b - 19)}
    loads = []
    for body, (mass, inertia, radius, degrees) in LINKS.items():
        start, line = lines[body]
        cg = start + line / abs(line) * cmath.rect(radius, np.radians(degrees))
        accel = ALPHA * motion.velocity(body, cg) + OMEGA**2 * motion.acceleration(body, cg)
        spin = ALPHA * motion.spin(body) + OMEGA**2 * motion.spin_rate(body)
        loads.append(Load(body, cg, -mass * accel, -inertia * spin))  # d'Alembert: no gravity in the book
        if body == "coupler":
            at = cg + line / abs(line) * cmath.rect(3, np.radians(100))
            loads.append(Load(body, at, cmath.rect(80, np.radians(330))))
    loads.append(Load("rocker", 19 + 0j, 0j, 120.0))
    return mechanism, motion, loads


def test_forces_of_a_four_bar_by_the_matrix_method() -> None:
    """K7: printed to 0.01 deg, 0.01 lb and 0.01 lb in; the masses are the book's rounded ones."""
    mechanism, motion, loads = loaded_four_bar()
    assert direction(motion, mechanism, "coupler", "A", "B") == pytest.approx(20.92, abs=0.005)
    assert direction(motion, mechanism, "rocker", "O4", "B") == pytest.approx(104.41, abs=0.005)
    found = balance(mechanism, motion, loads, "O2")
    assert found.joint["O2"][0, 0].real == pytest.approx(-117.65, abs=0.005)
    assert found.joint["O2"][0, 0].imag == pytest.approx(-107.84, abs=0.005)
    assert found.effort[0, 0] == pytest.approx(243.23, abs=0.005)
    assert effort_by_work(mechanism, motion, loads, "O2")[0, 0] == pytest.approx(243.23, abs=0.005)
