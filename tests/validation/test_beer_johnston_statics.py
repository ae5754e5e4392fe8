"""F. P. Beer and E. R. Johnston, Vector Mechanics: Statics, virtual work of a hydraulic lift table. Status MEM.

K9: 1000 kg on two cylinders and two linkages, a 0.70 m, L 3.20 m, 60 deg; the book gives s 2.91 m and 5.15 kN for
each cylinder (three digits, the force computed on from the rounded s: 0.01 kN), with g 9.81 m/s2.

One linkage carries half of the crate: link AD (length a) about A, member ED-B (2a) pinned to it at its middle, its foot
E on a roller, B straight above A under the table; the cylinder from H, L ahead of A, pushes at D.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from linkage.mechanism import GROUND, Load, Mechanism, Pin, Slide, balance, effort_by_work, plan, solve

A_LENGTH, BASE, WEIGHT = 0.70, 3.20, 1000 * 9.81


def lift(drawn: float) -> Mechanism:
    d = cmath.rect(A_LENGTH, drawn)
    foot = complex(2 * d.real, 0.0)
    return Mechanism(
        (
            Pin("A", GROUND, "link", 0j),
            Pin("D", "link", "member", d),
            Pin("E", "member", "roller", foot),
            Slide("floor", GROUND, "roller", foot, 1.0 + 0j),
            Pin("H", GROUND, "cylinder", BASE + 0j),
            Slide("piston in cylinder", "cylinder", "piston", d, d - BASE),
            Pin("piston pin", "piston", "link", d),
        ),
        "A",
    )


def test_the_force_of_the_cylinders_of_a_lift_table() -> None:
    drawn = math.radians(35)
    mechanism = lift(drawn)
    motion = solve(plan(mechanism), math.radians(60) - drawn)
    d = cmath.rect(A_LENGTH, drawn)
    top = 2j * d.imag
    assert abs(motion.point("member", top)[0, 0].real) < 1e-12  # the table rises straight
    assert np.abs(motion.point("link", d)[0, 0] - BASE) == pytest.approx(2.91, abs=0.005)
    loads = [Load("member", top, -0.5j * WEIGHT)]
    for force in (
        balance(mechanism, motion, loads, "piston in cylinder").effort[0, 0],
        effort_by_work(mechanism, motion, loads, "piston in cylinder")[0, 0],
    ):
        # one cylinder a linkage carries half the crate
        assert force / 1e3 == pytest.approx(5.15, abs=0.01)
        assert force / 1e3 == pytest.approx(5.1572, abs=0.00005)  # the reference sheet's own recomputation
