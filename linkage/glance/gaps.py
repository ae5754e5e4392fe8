"""Least gaps by samples, closed in on where they may lie: an estimate, of all parts and items at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linkage.clearance import Clearance, Gap, in_space, lateral_gap
from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.mechanism.model import Complexes
from linkage.obstacles import Obstacle
from linkage.plane.gaps import gap_curve, nearest_pair
from linkage.stroke import Stroke


def quick_clearance(study: Study, gear: Gear, stroke: Stroke, items: Sequence[Obstacle]) -> Clearance:
    cores = _cores(gear, stroke)
    found = [_bay_gap(stroke, part, core, o) for part, core in cores for o in items if part.name not in o.ignore]
    return Clearance(tuple(sorted(found, key=lambda g: g.margin)), (), np.zeros(0), ())


def _cores(gear: Gear, stroke: Stroke) -> list[tuple[GearPart, Complexes]]:
    motion = stroke.motion
    return [
        (s, np.stack([motion.point(p.body, p.at)[0] for p in s.core], axis=1)) for p in gear.parts for s in p.nested
    ]


def _bay_gap(stroke: Stroke, part: GearPart, core: Complexes, item: Obstacle) -> Gap:
    first = len(core) - 1 if item.stowed_only else 0
    radius, lateral = part.radius + item.radius, lateral_gap(part.butt_lines, item.butt_lines)
    gaps = np.asarray(in_space(lateral, gap_curve(core[first:], part.closed, radius, item.shape)))
    at = int(gaps.argmin())
    gap, at = float(gaps[at]), at + first
    ends = nearest_pair(core[at], part.closed, radius, item.shape)
    driven, swing = float(stroke.driven[at]), float(stroke.swing[at])
    return Gap(part.name, item.name, lateral, gap, gap, item.required, driven, swing, ends)
