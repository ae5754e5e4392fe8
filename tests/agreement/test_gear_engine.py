"""Whole gears, built from study documents as filed, against a general physics engine: every topology, both folding
ways, knee locked below and above. Random ones: tests/agreement/test_second_engines.py."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.document.study import Study
from linkage.stroke import gear_and_stroke
from tests.agreement.by_physics import compare_gear, figures
from tests.agreement.random_gears import RandomGear
from tests.gear.test_topologies import CRANK_FORWARD
from tests.topologies import VARIANTS, forward, study

GEARS: dict[str, Study] = {name: study(name) for name in VARIANTS} | {
    "leg, knee locks above": study("leg", {"gear.brace.knee_folds": "down", "gear.leg.swing_up": 30}),
    "bell-crank, folding forward": forward(CRANK_FORWARD),
    "leg, folding forward": forward(),
}


@pytest.mark.parametrize("name", GEARS)
def test_gear_against_the_engine(name: str) -> None:
    found = figures()
    compare_gear(RandomGear(name, GEARS[name], *gear_and_stroke(GEARS[name])), np.random.default_rng(len(name)), found)
    for figure in found:
        assert figure.largest <= figure.bound, figure.quantity
    positions, _, _, drive, forces, couples = (figure.count for figure in found)
    assert positions >= 9 * 3
    assert drive >= 4 * 7  # two roads, at rest and moving, away from dead points
    assert forces >= 4 * drive / 2
    assert (couples > 0) == (name in ("telescoping", "actuator in the brace", "sliding root"))
