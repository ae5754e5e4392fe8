"""Brace and stroke. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linkage.results import Results


def brace(r: Results) -> dict[str, Any]:
    """Links and lock of the brace as drawn: mm and deg."""
    b = r.gear.brace
    return {
        "kind": b.kind,
        "upper_link_mm": b.upper_link if b.has_knee else None,
        "lower_link_mm": b.lower_link if b.has_knee else None,
        "over_centre_mm": b.over_centre,
        "over_centre_deg": math.degrees(b.over_centre_angle),
        "upper_pin_to_lug_mm": b.span,
        "knee_mm": b.knee if b.has_knee else None,
        "lug_mm": b.lug,
        "leg_tilt_top_aft_deg": math.degrees(r.steering.tilt),
    }


def stroke(r: Results) -> dict[str, Any]:
    """Driven rotation, swing, transmission angle in deg and actuator length in mm, pose by pose."""
    s = r.stroke
    return {
        "dead_centre_driven_deg": math.degrees(s.dead_centre),
        "dead_centre_overswing_deg": math.degrees(s.overswing),
        "pins_down_mm": {n: p[0] for n, p in s.pins.items()},
        "pins_up_mm": {n: p[-1] for n, p in s.pins.items()},
        "driven_deg": np.degrees(s.driven),
        "swing_deg": np.degrees(s.swing),
        "actuator_length_mm": s.actuator_length,
        "knee_offset_mm": s.knee_offset,
        "transmission_angle_deg": np.degrees(s.transmission),
        "spring_length_mm": dict(s.spring_lengths),
        "least_margin_mm": r.clearance.curve,
    }
