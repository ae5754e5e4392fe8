"""Speed of sweep, gaps and states on the demo; run with ``pytest -m benchmark -s``.

Times are processor time of this process, the least of several runs: other work on the machine then counts for little.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from linkage.clearance import clearance
from linkage.gear import Gear, GearPart
from linkage.obstacles import obstacles
from linkage.plane.outlines import shapes_of
from linkage.state_gaps import state_review
from linkage.states import cases
from linkage.stroke import Stroke, gear_and_stroke
from linkage.sweep import region, sweep
from linkage.tracks import core_at
from tests.benchmarks.measure import least
from tests.studies import MERROW, changed

pytestmark = pytest.mark.benchmark

TOLERANCE = 0.1
ARCS = 96
"""Segments a quarter circle of the plain way, with which the tyre falls 0.014 mm short."""


def plain_union(gear: Gear, stroke: Stroke, part: GearPart, poses: int) -> Any:
    """The plain way: the part at many poses, grown and joined. It falls short between the poses."""
    places = shapes_of(core_at(gear, part)(np.linspace(0.0, stroke.driven_up, poses)), part.closed)
    return shapely.union_all(shapely.buffer(places, part.radius, quad_segs=ARCS))


def shortfall(found: Any, truth: Any) -> float:
    """How far the truth's border lies outside."""
    border = shapely.get_coordinates(shapely.segmentize(shapely.boundary(truth), 2.0))
    shapely.prepare(found)
    return float(shapely.distance(found, shapely.points(border)).max())


def test_sweep_and_states_of_the_demo() -> None:
    study = changed({})
    gear, stroke = gear_and_stroke(study)
    bay = obstacles(study, MERROW.parent)
    conditions = cases(study, gear, stroke)
    clear = clearance(study, gear, stroke, bay)
    (one,) = least(lambda: sweep(study, gear, stroke))
    gaps, every = least(
        lambda: clearance(study, gear, stroke, bay),
        lambda: state_review(study, gear, stroke, bay, conditions, clear),
        runs=3,
    )
    print(f"\nsweep, one state, 0.1 mm: {one:.3f} s; gaps: {gaps:.3f} s; {len(conditions)} states: {every:.3f} s")
    assert one <= 0.4
    assert one + gaps + every <= 6.0


def test_against_a_plain_union_of_poses() -> None:
    """Poses are doubled until the plain union falls short of the truth by no more than ours exceeds it."""
    gear, stroke = gear_and_stroke(changed({}))
    ours = {p.name: region(gear, p, stroke.driven_up, TOLERANCE) for p in gear.parts}
    exact = {p.name: region(gear, p, stroke.driven_up, TOLERANCE / 50) for p in gear.parts}
    (mine,) = least(lambda: [region(gear, p, stroke.driven_up, TOLERANCE) for p in gear.parts], runs=3)
    theirs = 0.0
    for part in gear.parts:
        error, poses = shortfall(ours[part.name], exact[part.name]), 64
        assert error == 0.0
        error = shortfall(exact[part.name], ours[part.name])
        while shortfall(plain_union(gear, stroke, part, poses), exact[part.name]) > error and poses < 2**14:
            poses *= 2
        theirs += sum(least(lambda part=part, poses=poses: plain_union(gear, stroke, part, poses), runs=1))  # type: ignore[misc]
        print(f"{part.name}: {poses} poses for {error:.3f} mm")
    print(f"certified sweep {mine:.3f} s, plain union {theirs:.3f} s, {theirs / mine:.0f} times")
    assert theirs >= 5 * mine
