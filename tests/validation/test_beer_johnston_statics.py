"""The cylinders of a hydraulic lift table, by pin forces and by virtual work.

Source: Beer & Johnston, Vector Mechanics: Statics.
"""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from linkage.report.validation.linkages import by_pins, by_work
from linkage.report.validation.statics import lift, lift_force
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("beer_johnston_statics"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_the_table_rises_straight() -> None:
    mechanism, motion = lift()
    top = 2j * complex(mechanism.joint("D").at).imag
    assert abs(motion.point("member", top)[0, 0].real) < 1e-12


def test_both_roads_to_the_force() -> None:
    assert lift_force(by_pins) == pytest.approx(lift_force(by_work), rel=1e-12)
    assert lift_force(by_pins) == pytest.approx(5.1572, abs=0.00005)  # the reference sheet's own recomputation
