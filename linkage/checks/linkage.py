"""Over-centre offset and transmission angle."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding, within
from linkage.results import Results


def linkage(r: Results) -> Iterator[Finding]:
    """Over-centre offset in mm and least transmission angle in deg against the limits of the study."""
    limits, pair = r.study.limits, r.gear.locking
    if pair is not None:
        subject = "over-centre offset" if r.gear.lock_link is None else "over-centre offset of the lock links"
        yield from within("over-centre", subject, pair.shape.over_centre, limits.over_centre, "mm")
    worst = int(r.stroke.transmission.argmin())
    least = math.degrees(float(r.stroke.transmission[worst]))
    at = f"{math.degrees(float(r.stroke.swing[worst])):.1f} deg swing"
    yield from within("transmission", "least transmission angle", least, limits.transmission_angle, "deg", at)
