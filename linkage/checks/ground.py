"""Tip-back and steer axis."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding, within
from linkage.results import Results


def ground(r: Results) -> Iterator[Finding]:
    """Tip-back and steer-axis tilt (top aft +), deg, against the limits of the study."""
    limits, tip = r.study.limits, r.share.ground.tip_back_min
    yield from within(
        "tip-back", "least tip-back angle", math.degrees(tip.value), limits.tip_back, "deg", "", str(tip.case)
    )
    tilt = math.degrees(r.steering.tilt)
    yield from within("steer-axis", "steer-axis tilt (top aft +)", tilt, limits.steer_axis_tilt, "deg")
