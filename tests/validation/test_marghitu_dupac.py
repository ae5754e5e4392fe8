"""A crank turns a rod through a block that slides on it: the case of a cylinder that drives a leg.

Source: Marghitu & Dupac, Advanced Dynamics.
"""

from __future__ import annotations

import cmath
import math

import pytest

from linkage.report.validation import Check
from linkage.report.validation.dynamics import GUIDE, sliding_chain
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("marghitu_dupac"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_the_chain_is_drawn_elsewhere_than_asked_for() -> None:
    mechanism, motion = sliding_chain()
    crank = complex(motion.point("crank", mechanism.joint("B").at)[0, 0])
    assert abs(cmath.phase(complex(mechanism.joint("B").at) / crank)) == pytest.approx(math.radians(10.0), abs=1e-12)
    assert cmath.phase(crank) == pytest.approx(math.radians(200.0 - 360.0), abs=1e-12)
    assert motion.point("slider", mechanism.joint("E").at)[0, 0].real == pytest.approx(GUIDE, abs=1e-15)
