"""The pose table as CSV."""

from __future__ import annotations

import numpy as np

from linkage.report.writing import csv_text
from linkage.results import Results


def stroke_csv(r: Results) -> str:
    """One row per pose: driven angle, swing, pins, actuator length and force, least margin. Units in the heading."""
    s = r.stroke
    columns = {
        "driven_deg": np.degrees(s.driven),
        "swing_deg": np.degrees(s.swing),
        "knee_offset_mm": s.knee_offset,
        "transmission_deg": np.degrees(s.transmission),
        "actuator_length_mm": s.actuator_length,
    }
    for load_factor, push in zip(r.actuation.load_factors, r.actuation.push, strict=True):
        columns[f"actuator_push_{load_factor:g}g_n"] = push
    for spring, length in s.spring_lengths.items():
        columns[f"{spring}_length_mm"] = length
    for pin, place in s.pins.items():
        columns[f"{pin}_fs_mm"], columns[f"{pin}_wl_mm"] = place.real, place.imag
    columns["least_margin_mm"] = r.clearance.curve
    rows = ([f"{v:.6f}" if np.isfinite(v) else "" for v in row] for row in zip(*columns.values(), strict=True))
    return csv_text([[c.replace(" ", "_") for c in columns], *rows])
