"""How far play in the pins lets every part stray: to first order, from the forces that a unit load makes in the pins.

A pin whose two bodies are apart by d moves a point by (force in the pin for a unit load on the point) * d: the same
equations transposed, virtual work. So with every pin anywhere within its clearance a point strays in the direction of
the load by at most the sum of all pin forces times half the clearance. First order and taken at poses, so measured, not
proved. The driven body is held: what the drive adds only moves the gear along its stroke, which is covered anyway.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from linkage.document.study import Study
from linkage.gear import LEG, Gear, GearPart
from linkage.mechanism.model import GROUND, Drawn, Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.statics import Load, force_at, multipliers
from linkage.stroke import Stroke


def strays(study: Study, gear: Gear, stroke: Stroke) -> dict[str, tuple[float, float]]:
    """For each part the most it strays in the side view over the stroke, and across it, mm.

    Across: the trunnion tilts within its bearings (``gear.leg.bearings``), for parts of the leg; 0 without bearings.
    """
    clearance = study.tolerances.pin_clearance_worn
    corners = list(dict.fromkeys((p.body, p.at) for part in gear.parts for p in part.core if p.body != GROUND))
    furthest = np.nanmax(per_clearance(gear, stroke.motion, corners), axis=(1, 2), initial=0.0)
    found = dict(zip(corners, furthest, strict=True))
    return {
        part.name: (
            clearance * max((found[p.body, p.at] for p in part.core if p.body != GROUND), default=0.0),
            _across(study, gear, part, clearance),
        )
        for part in gear.parts
    }


def per_clearance(gear: Gear, motion: Motion, corners: Sequence[tuple[str, Drawn]]) -> Floats:
    """How far each corner strays (corners, designs, poses), per mm of clearance."""
    sets = [[Load(body, z, force)] for body, z in corners for force in (1.0 + 0j, 1j)]
    solved = multipliers(gear.mechanism, motion, sets, gear.mechanism.driver)
    total = np.zeros(solved.shape[:-1])
    for i, joint in enumerate(gear.mechanism.joints):
        total += np.abs(force_at(motion.state, joint, solved, i))
    # a load in any direction is a sum of those along FS and along WL
    return np.asarray(0.5 * np.hypot(total[0::2], total[1::2]))


def _across(study: Study, gear: Gear, part: GearPart, clearance: float) -> float:
    bearings = study.gear.leg.bearings
    if bearings is None or any(p.body != LEG for p in part.core):
        return 0.0
    reach = max(abs(p.at - gear.pins["trunnion"].at) for p in part.core) + part.radius
    return clearance * (0.5 + reach / (bearings[1] - bearings[0]))
