"""Statics and reduced inertia against Lagrange's equations with multipliers, derived symbolically for the demo brace.

The multipliers of the loop are the force at the lug. The kernel's reduced equation of motion is
I(q) q'' + I'(q) q'^2/2 = work of the weights and the torque per unit of q, with I and I' from its exact first and
second coefficients.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import sympy as sp
from sympy.physics import mechanics as me

from linkage.mechanism import Load, Mechanism, Motion, balance, plan, solve
from linkage.plane.vectors import dot
from tests.mechanism.linkages import AXLE, KNEE, LUG, TRUNNION, UPPER_PIN, demo_gear

G = 9806.65  # mm/s2
BRACE = Mechanism(demo_gear().joints[:4], "upper pin")
PARTS = {
    "upper": (1.1, 0.6 * UPPER_PIN + 0.4 * KNEE + 10j, 4000.0),
    "lower": (0.7, 0.5 * (KNEE + LUG) - 20j, 1000.0),
    "leg": (15.7, TRUNNION + 0.7 * (AXLE - TRUNNION), 6e5),
}
"""Mass in kg, centre of gravity as drawn in mm, moment of inertia in kg mm2."""
POSES = np.linspace(-0.05, -1.6, 9)


@cache
def lagrange() -> Callable[..., tuple[np.ndarray, np.ndarray]]:
    """Function of (three angles, three rates, torque) to the matrix and right side for (rates, accelerations,
    multipliers)."""
    t = me.dynamicsymbols._t
    angles = me.dynamicsymbols("upper lower leg")
    torque = sp.Symbol("torque")
    frame, origin = me.ReferenceFrame("N"), me.Point("O")
    origin.set_vel(frame, 0)

    def vector(z: complex, angle: sp.Expr | int = 0) -> me.Vector:
        c, s = sp.cos(angle), sp.sin(angle)
        x, y = sp.Float(z.real, 17), sp.Float(z.imag, 17)
        return (c * x - s * y) * frame.x + (s * x + c * y) * frame.y

    hinges = {"upper": vector(UPPER_PIN), "leg": vector(TRUNNION)}
    hinges["lower"] = hinges["upper"] + vector(KNEE - UPPER_PIN, angles[0])
    drawn = {"upper": UPPER_PIN, "lower": KNEE, "leg": TRUNNION}
    kinetic, potential = sp.Integer(0), sp.Integer(0)
    for name, angle in zip(("upper", "lower", "leg"), angles, strict=True):
        mass, cg, inertia = PARTS[name]
        place = hinges[name] + vector(cg - drawn[name], angle)
        speed = place.dt(frame)
        kinetic += mass * speed.dot(speed) / 2 + inertia * angle.diff(t) ** 2 / 2
        potential += mass * G * place.dot(frame.y)
    gap = hinges["leg"] + vector(LUG - TRUNNION, angles[2]) - hinges["lower"] - vector(LUG - KNEE, angles[1])
    link = me.ReferenceFrame("U")
    link.orient_axis(frame, frame.z, angles[0])
    method = me.LagrangesMethod(
        kinetic - potential,
        list(angles),
        hol_coneqs=[gap.dot(frame.x), gap.dot(frame.y)],
        forcelist=[(link, torque * frame.z)],
        frame=frame,
    )
    method.form_lagranges_equations()
    arguments = [*angles, *(a.diff(t) for a in angles), torque]
    return sp.lambdify(arguments, [method.mass_matrix_full, method.forcing_full], "numpy", cse=True)


def accelerations_and_multipliers(motion: Motion, rate: float, torque: float) -> tuple[np.ndarray, np.ndarray]:
    """Of the three angles and of the two equations at the lug, in the pose of the motion at that rate of q."""
    bodies = ("upper", "lower", "leg")
    angles = [motion.angle(b)[0, 0] for b in bodies]
    rates = [rate * motion.spin(b)[0, 0] for b in bodies]
    matrix, right = lagrange()(*angles, *rates, torque)
    found = np.linalg.solve(np.asarray(matrix, dtype=float), np.asarray(right, dtype=float).ravel())
    return found[3:6], found[6:8]


def reduced_inertia(motion: Motion) -> tuple[float, float]:
    """I(q) and its derivative, from first and second coefficients."""
    inertia, slope = 0.0, 0.0
    for body, (mass, cg, own) in PARTS.items():
        v, a = motion.velocity(body, cg)[0, 0], motion.acceleration(body, cg)[0, 0]
        w, e = motion.spin(body)[0, 0], motion.spin_rate(body)[0, 0]
        inertia += mass * abs(v) ** 2 + own * w * w
        slope += 2 * (mass * dot(a, v) + own * w * e)
    return inertia, slope


@pytest.mark.parametrize("q", POSES)
def test_the_holding_torque_and_the_lug_force(q: float) -> None:
    motion = solve(plan(BRACE), q)
    found = balance(BRACE, motion, [Load(b, cg, -1j * m * G) for b, (m, cg, _) in PARTS.items()], "upper pin")
    accels, multipliers = accelerations_and_multipliers(motion, 0.0, found.effort[0, 0])
    size = abs(found.joint["lug"][0, 0])
    assert accels == pytest.approx(np.zeros(3), abs=1e-8)  # of some 10 rad/s2 without the torque
    # the gap is leg less lower link, as the joint's b less a: its multiplier is the force of a on b
    assert complex(*multipliers) == pytest.approx(found.joint["lug"][0, 0], abs=1e-10 * size)


@pytest.mark.parametrize("rate", [0.0, 0.8, -3.0])
@pytest.mark.parametrize("q", POSES)
def test_the_reduced_equation_of_motion(q: float, rate: float) -> None:
    motion = solve(plan(BRACE), q)
    inertia, slope = reduced_inertia(motion)
    weights = sum(dot(motion.velocity(b, cg)[0, 0], -1j * m * G) for b, (m, cg, _) in PARTS.items())
    torque = 2e4
    accel = (weights + torque - 0.5 * slope * rate**2) / inertia
    accels, _ = accelerations_and_multipliers(motion, rate, torque)
    assert accel == pytest.approx(accels[0], rel=1e-10)
    for body, found in zip(("upper", "lower", "leg"), accels, strict=True):
        exact = motion.spin(body)[0, 0] * accel + motion.spin_rate(body)[0, 0] * rate**2
        assert exact == pytest.approx(found, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("q", POSES[::2])
def test_the_lug_force_in_motion_with_inertia_as_loads(q: float) -> None:
    rate, torque = 2.5, 2e4
    motion = solve(plan(BRACE), q)
    accels, multipliers = accelerations_and_multipliers(motion, rate, torque)
    loads = []
    for body, (mass, cg, own) in PARTS.items():
        a = motion.velocity(body, cg) * accels[0] + motion.acceleration(body, cg) * rate**2
        e = motion.spin(body) * accels[0] + motion.spin_rate(body) * rate**2
        loads.append(Load(body, cg, -1j * mass * G - mass * a, -own * e))
    found = balance(BRACE, motion, loads, "upper pin")
    size = abs(found.joint["lug"][0, 0])
    assert complex(*multipliers) == pytest.approx(found.joint["lug"][0, 0], abs=1e-10 * size)
    assert found.effort[0, 0] == pytest.approx(torque, rel=1e-9)
