"""Gaps of a glance beside a plain dense sampling, over many places of the pins."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.clearance import in_space, lateral_gap
from linkage.glance import Held, glance, moved
from linkage.glance.gaps import WITHIN
from linkage.obstacles import obstacles
from linkage.plane.gaps import gap_curve
from linkage.tracks import core_at
from tests.studies import MERROW, OSTREL, source

DENSE = 401

shift = st.floats(-6.0, 6.0)


@settings(derandomize=True, deadline=None, max_examples=8)
@given(
    st.sampled_from([MERROW, OSTREL]),
    st.sampled_from(["gear.brace.upper_pin", "gear.trunnion", "gear.actuator.root"]),
    shift,
    shift,
)
def test_no_dense_sample_is_nearer_than_a_glance_says(path, field, dx, dy) -> None:  # type: ignore[no-untyped-def]
    base = source(path).study
    pin = {
        "gear.brace.upper_pin": base.gear.brace.upper_pin,
        "gear.trunnion": base.gear.trunnion,
        "gear.actuator.root": base.gear.actuator.root,
    }[field]
    assert pin is not None
    study = moved(base, field, (pin[0] + dx, pin[1] + dy))
    g = glance(study, Held(path.parent))
    if g.gear is None or g.stroke is None:
        assert g.trouble
        return
    driven = np.linspace(0.0, g.stroke.driven_up, DENSE)
    cores = [(s, core_at(g.gear, s)(driven)) for part in g.gear.parts for s in part.nested]
    items = obstacles(study, path.parent)
    assert g.gaps
    for gap in g.gaps:
        least = np.inf
        for o in (o for o in items if o.name == gap.item):
            for part, core in cores:
                if part.name not in o.ignore:
                    side = gap_curve(core[-1:] if o.stowed_only else core, part.closed, part.radius + o.radius, o.shape)
                    least = min(least, float(in_space(lateral_gap(part.butt_lines, o.butt_lines), side).min()))
        assert gap.gap <= least + 1e-6 or least < 0
        assert least > 0 or gap.gap < 0 or least == gap.gap
        if least > 0:
            assert least - gap.gap <= WITHIN + 1e-6
