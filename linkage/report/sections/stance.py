"""Ground states and steering. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

from linkage.results import Results


def ground(g: Any) -> dict[str, Any]:
    """One ground state: contacts as [FS, WL] in mm, attitude in deg, wheelbase."""
    return {
        "state": g.state,
        "strut_compression_mm": g.compression,
        "tyre_radius_mm": g.radius,
        "axle_mm": g.axle,
        "nose_contact_mm": g.nose,
        "main_contact_mm": g.main,
        "pitch_nose_up_deg": math.degrees(g.pitch),
        "wheelbase_mm": g.wheelbase,
    }


def steering(r: Results) -> dict[str, Any]:
    """Steer-axis tilt in deg (top aft +), and for each ground state trail, flop factor and lift in mm."""
    return {
        "steer_axis_tilt_top_aft_deg": math.degrees(r.steering.tilt),
        "axle_offset_aft_mm": r.steering.offset,
        "states": [
            {
                "state": s.state,
                "tyre_radius_mm": s.radius,
                "tilt_to_ground_deg": math.degrees(s.tilt),
                "trail_mm": s.trail,
                "normal_trail_mm": s.normal_trail,
                "flop_factor_mm": s.flop,
                "lift_at_30_deg_mm": s.lift_30deg,
            }
            for s in r.steering.states
        ],
    }
