"""Load share. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

from linkage.loading import Extreme
from linkage.results import Results


def _extreme(e: Extreme, factor: float = 1.0) -> dict[str, Any]:
    return {
        "value": e.value * factor,
        "mass_kg": e.case.mass_kg,
        "cg_fs_mm": e.case.fs_mm,
        "cg_wl_mm": e.case.wl_mm,
        "loading_kg": dict(e.case.masses),
    }


def share(r: Results) -> dict[str, Any]:
    """Least and greatest nose share, wheel loads and CG over every loading, each with a loading that causes it."""
    ground, down, up = r.share.ground, r.share.cg, r.share.cg_up
    to_deg = math.degrees(1.0)
    return {
        "band": list(r.share.band),
        "in_band_fraction": r.share.in_band,
        "share_min": _extreme(ground.share_min),
        "share_max": _extreme(ground.share_max),
        "nose_load_min_n": _extreme(ground.nose_load_min),
        "nose_load_max_n": _extreme(ground.nose_load_max),
        "tip_back_deg": _extreme(ground.tip_back_min, to_deg),
        "gear_down": {"cg_forward_fs_mm": _extreme(down.forward), "cg_aft_fs_mm": _extreme(down.aft)},
        "gear_up": {"cg_forward_fs_mm": _extreme(up.forward), "cg_aft_fs_mm": _extreme(up.aft)},
    }
