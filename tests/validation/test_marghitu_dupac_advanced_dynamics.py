"""D. B. Marghitu and M. Dupac, Advanced Dynamics. K5: a crank turns a rod through a block that slides on it, and the
rod moves a slider: the case of a cylinder that drives a leg. Status: values READ in the authors' companion programs,
the book's name MEM. Metres and seconds; tolerances are half a unit of the last printed digit.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from linkage.mechanism import GROUND, Mechanism, Motion, Pin, Slide, plan, solve, travel_rate

AB, CD, DE = 0.15, 0.20, 0.14
PIVOT, GUIDE = -0.30 + 0j, -0.55
ASKED, OMEGA = math.radians(200), 700 * 2 * math.pi / 60


def drawn(crank: float) -> Mechanism:
    """The chain by plane geometry with the crank at ``crank`` rad: D behind C on the rod, E above D on its guide."""
    b = cmath.rect(AB, crank)
    rod = (b - PIVOT) / abs(b - PIVOT)
    d = PIVOT - CD * rod
    e = complex(GUIDE, d.imag + math.sqrt(DE**2 - (GUIDE - d.real) ** 2))
    return Mechanism(
        (
            Pin("A", GROUND, "crank", 0j),
            Pin("B", "crank", "block", b),
            Slide("block on rod", "rod", "block", b, rod),
            Pin("C", GROUND, "rod", PIVOT),
            Pin("D", "rod", "link", d),
            Pin("E", "link", "slider", e),
            Slide("guide", GROUND, "slider", e, 1j),
        ),
        "A",
    )


@pytest.fixture(scope="module")
def found() -> tuple[Mechanism, Motion]:
    mechanism = drawn(math.radians(190))
    return mechanism, solve(plan(mechanism), ASKED - math.radians(190))


def place(found: tuple[Mechanism, Motion], body: str, name: str) -> complex:
    mechanism, motion = found
    return complex(motion.point(body, mechanism.joint(name).at)[0, 0])


def test_the_chain_is_drawn_elsewhere_than_asked_for(found: tuple[Mechanism, Motion]) -> None:
    assert cmath.phase(place(found, "crank", "B")) == pytest.approx(ASKED - 2 * math.pi, abs=1e-12)
    assert place(found, "slider", "E").real == pytest.approx(GUIDE, abs=1e-15)


def test_positions(found: tuple[Mechanism, Motion]) -> None:
    rod = place(found, "crank", "B") - PIVOT
    link = place(found, "rod", "D") - place(found, "slider", "E")
    assert math.degrees(cmath.phase(rod)) == pytest.approx(-17.878, abs=0.0005)
    assert math.degrees(cmath.phase(link)) == pytest.approx(-64.778, abs=0.0005)


def test_velocities(found: tuple[Mechanism, Motion]) -> None:
    mechanism, motion = found
    assert OMEGA * motion.spin("rod")[0, 0] == pytest.approx(-51.934, abs=0.0005)
    assert OMEGA * motion.spin("link")[0, 0] == pytest.approx(25.176, abs=0.0005)
    # recomputed value of the reference sheet; the book's relative velocity is its negative
    assert OMEGA * travel_rate(motion, mechanism, "block on rod")[0, 0] == pytest.approx(6.751085, abs=5e-7)


def test_accelerations(found: tuple[Mechanism, Motion]) -> None:
    mechanism, motion = found
    assert OMEGA**2 * motion.spin_rate("rod")[0, 0] == pytest.approx(7157.347, abs=0.0005)
    assert OMEGA**2 * motion.spin_rate("link")[0, 0] == pytest.approx(882.339, abs=0.0005)
    accel = OMEGA**2 * motion.acceleration("rod", mechanism.joint("D").at)
    assert np.abs(accel)[0, 0] == pytest.approx(1529.736, abs=0.0005)
