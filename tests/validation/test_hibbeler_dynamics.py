"""R. C. Hibbeler, Engineering Mechanics: Dynamics, problem 16-48. Status READ.

K8: a block rises at a constant 0.5 m/s on a guide 0.6 m from the pivot of a rod on which it slides, y = 0.6 tan(theta).
At 45 deg the book gives 0.417 rad/s and -0.347 rad/s2; tolerance half a unit of the last digit.
"""

from __future__ import annotations

import math

import pytest

from linkage.mechanism import GROUND, Mechanism, Pin, Slide, plan, solve


def test_a_rod_turned_by_a_rising_block() -> None:
    start = 0.6 + 0.6j * math.tan(math.radians(20))
    mechanism = Mechanism(
        (
            Slide("guide", GROUND, "riser", start, 1j),
            Pin("block pin", "riser", "block", start),
            Slide("block on rod", "rod", "block", start, start),
            Pin("pivot", GROUND, "rod", 0j),
        ),
        "guide",
    )
    motion = solve(plan(mechanism), 0.6 * (math.tan(math.radians(45)) - math.tan(math.radians(20))))
    assert math.degrees(motion.angle("rod")[0, 0]) == pytest.approx(45 - 20, abs=1e-12)
    assert 0.5 * motion.spin("rod")[0, 0] == pytest.approx(0.417, abs=0.0005)
    assert 0.5**2 * motion.spin_rate("rod")[0, 0] == pytest.approx(-0.347, abs=0.0005)
