"""Clearance and keep-out. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

from linkage.clearance import Gap
from linkage.results import Results


def gap(g: Gap) -> dict[str, Any]:
    """One tightest pair: gap and margin in mm, where on the stroke, the two nearest points as [FS, WL]."""
    return {
        "part": g.part,
        "item": g.item,
        "gap_mm": g.gap,
        "gap_reached_mm": g.upper,
        "required_mm": g.required,
        "margin_mm": g.margin,
        "lateral_gap_mm": g.lateral,
        "at_swing_deg": math.degrees(g.swing),
        "nearest_points_mm": [g.ends[0], g.ends[1]],
    }


def keep_out(r: Results) -> dict[str, Any]:
    """Areas in mm2 and volumes in mm3 of what is swept and kept free, with tolerance and allowance."""
    k = r.swept.keep_out
    return {
        "side_area_mm2": k.side_area,
        "volume_mm3": k.volume,
        "allowance_mm": k.allowance,
        "tolerance_mm": k.tolerance,
        "states": list(k.states),
        "clip": k.clip or None,
        "inner_zone_mm3": sum((s.bl_hi - s.bl_lo) * s.region.area for s in r.swept.inner) or None,
        "slabs": [{"bl_lo_mm": s.bl_lo, "bl_hi_mm": s.bl_hi, "area_mm2": s.region.area} for s in k.slabs],
    }
