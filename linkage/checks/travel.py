"""CG with the gear on its way, where it reaches further than at both ends (those are judged with the loading)."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results


def travel(r: Results) -> Iterator[Finding]:
    """CG in mm FS with the gear between down and up, where it reaches further than at either end."""
    t, limits = r.cg_travel, r.study.airframe.cg_limits
    ends = (0, len(t.shift) - 1)
    for side, pose, bound in (("forward", t.forward, limits.forward), ("aft", t.aft, limits.aft)):
        if pose in ends:
            continue
        found = t.forward_range.forward if side == "forward" else t.aft_range.aft
        margin = found.value - bound if side == "forward" else bound - found.value
        yield Finding(
            "cg",
            f"CG {side}",
            found.value,
            f"{'>=' if side == 'forward' else '<='} {bound:g}",
            margin,
            "mm",
            f"gear at {math.degrees(float(r.stroke.swing[pose])):.1f} deg swing",
            str(found.case),
            limits.source,
        )
