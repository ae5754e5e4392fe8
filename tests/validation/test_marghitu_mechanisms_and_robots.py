"""D. B. Marghitu, Mechanisms and Robots Analysis with MATLAB, p. 144, eqs 4.51-4.52. Status READ.

K6: slider-crank AB = BC = 1 m, crank at 45 deg and 1 rad/s, three parts of 1 kg each, g 10 m/s2, 100 N on the slider
towards +x. The answers are printed as exact expressions, so only rounding is allowed for.
"""

from __future__ import annotations

import math

import pytest

from linkage.mechanism import Load, balance, plan, solve
from tests.mechanism.linkages import slider_crank

G = 10.0


def test_the_pin_force_of_a_slider_crank_with_inertia() -> None:
    mechanism = slider_crank(1.0, 1.0, 0.0, math.radians(60))
    motion = solve(plan(mechanism), math.radians(45 - 60))
    joints = {name: complex(mechanism.joint(name).at) for name in ("crank pivot", "crank pin", "slider pin")}
    middles = {
        "crank": 0.5 * (joints["crank pivot"] + joints["crank pin"]),
        "rod": 0.5 * (joints["crank pin"] + joints["slider pin"]),
        "slider": joints["slider pin"],
    }
    loads = [Load("slider", joints["slider pin"], 100.0 + 0j)]
    for body, cg in middles.items():
        inertia = 0.0 if body == "slider" else 1.0 / 12.0
        loads.append(Load(body, cg, -1j * G - motion.acceleration(body, cg), -inertia * motion.spin_rate(body)))
    on_rod = balance(mechanism, motion, loads, "crank pivot").joint["crank pin"][0, 0]
    assert on_rod.real == pytest.approx(-(400 + 7 * math.sqrt(2)) / 4, rel=1e-13)
    assert on_rod.imag == pytest.approx(5 * (84 + math.sqrt(2)) / 4, rel=1e-13)
