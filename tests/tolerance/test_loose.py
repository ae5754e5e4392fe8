"""How far play lets the parts of gears as made stray: for every kind of gear, against every corner at every pose."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.stroke import gear_and_stroke
from linkage.tolerance import setting
from linkage.tolerance.assembly import assemble
from linkage.tolerance.loose import MUCH, corners_of, how_far
from linkage.tolerance.model import drawn
from linkage.tolerance.results import driven_up
from tests.topologies import STARTER, VARIANTS, study

PLAY = 0.3
LOOSE = {
    "tolerances": {
        "pin_clearance_worn": PLAY,
        "link_length": 0.15,
        "pin_position": 0.4,
        "knee_stop": 0.5,
        "axle": 0.3,
    },
    "state": [{"name": "loose", "play": "taken up"}],
}


@pytest.mark.parametrize("name", VARIANTS)
def test_no_part_strays_further_than_is_taken(name: str) -> None:
    """Within the tolerances, at their ends, and three times as far off."""
    told = study(name, LOOSE)
    base, (_, stroke) = setting(told, STARTER.parent), gear_and_stroke(told)
    plan, poses = base.plan, stroke.driven / stroke.driven_up
    limits = np.array([d.limit for d in plan.dimensions])
    sizes = drawn(plan.dimensions, len(plan.pins), plan.study.tolerances, 24, 3).sizes
    sizes[8:16] = np.sign(sizes[8:16]) * limits
    sizes[16:] *= 3.0
    by = plan.tight(sizes)
    made = assemble(plan, by)
    up = driven_up(base, made, by)
    assert base.strays and np.isfinite(up).all()
    for s in base.strays:
        far = how_far(made.gear, up, poses, corners_of(made.gear, s.part), PLAY)
        truth = np.nanmax(far, axis=(0, 2)) - s.drawn.max()
        above = s.further(by.sizes, made.gear, up, PLAY) - truth
        assert above.min() >= -1e-6, made.gear.parts[s.part].name
        assert above.max() <= MUCH, made.gear.parts[s.part].name
