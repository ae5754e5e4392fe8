"""Proved gaps against evenly spaced poses, so many that they would prove as much; ``pytest -m benchmark -s``."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkage.clearance import BRACKET, bay_gap, clearance
from linkage.gear import Gear
from linkage.obstacles import Obstacle, obstacles
from linkage.plane.gaps import gap_curve
from linkage.stroke import Stroke, gear_and_stroke
from linkage.tracks import Track, track
from tests.benchmarks.measure import least
from tests.studies import MERROW, changed

CHUNK = 4096


def nearest_pairs(gear: Gear, stroke: Stroke, bay: tuple[Obstacle, ...]) -> list[tuple[Track, Obstacle]]:
    """For every part the item next to which it has least room."""
    items = {o.name: o for o in reversed(bay) if not o.stowed_only}
    found: dict[str, Any] = {}
    for g in clearance(changed({}), gear, stroke, bay).bay:
        if g.item in items:
            found.setdefault(g.part, items[g.item])
    return [(track(gear, p, stroke.driven_up), found[p.name]) for p in gear.parts if p.name in found]


def poses_for(way: Track, up: float) -> int:
    """Even poses between which no point of the part goes farther than two brackets: what lies between is then known to
    within one."""
    rough = way.at(np.linspace(0.0, up, 1001))
    farthest = float(np.abs(np.diff(rough, axis=0)).max()) * 1000
    return int(np.ceil(farthest / (2 * BRACKET))) + 1


def evenly(way: Track, item: Obstacle, up: float, poses: int) -> float:
    """Least gap at so many poses."""
    part, driven = way.part, np.linspace(0.0, up, poses)
    return min(
        float(gap_curve(way.at(driven[i : i + CHUNK]), part.closed, part.radius + item.radius, item.shape).min())
        for i in range(0, poses, CHUNK)
    )


@pytest.mark.benchmark
def test_gaps_are_proved_ten_times_faster_than_by_even_poses() -> None:
    study = changed({})
    gear, stroke = gear_and_stroke(study)
    bay = tuple(obstacles(study, MERROW.parent))
    pairs, up = nearest_pairs(gear, stroke, bay), stroke.driven_up
    counts = [poses_for(way, up) for way, _ in pairs]
    (ours,) = least(lambda: [bay_gap(gear, stroke, way, item) for way, item in pairs], runs=3)
    (theirs,) = least(lambda: [evenly(way, item, up, n) for (way, item), n in zip(pairs, counts, strict=True)], runs=1)
    closely, safely = least(
        lambda: clearance(study, gear, stroke, bay), lambda: clearance(study, gear, stroke, bay, closely=False), runs=3
    )
    print(
        f"\n{len(pairs)} nearest pairs: proved {ours:.3f} s, {sum(counts)} even poses {theirs:.2f} s:"
        f" {theirs / ours:.0f} times; every gap closely {closely:.3f} s, as check asks {safely:.3f} s:"
        f" {closely / safely:.1f} times"
    )
    assert theirs >= 10 * ours
    assert safely < closely
