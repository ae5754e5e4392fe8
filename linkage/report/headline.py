"""The few numbers that scripts rely on, and the full results by section: units in every key, no NaN."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from linkage.checks import Finding
from linkage.report.sections import SECTIONS
from linkage.results import Results
from linkage.solution import Solution


def headline(r: Results) -> dict[str, Any]:
    """Numbers in mm, deg, N, kg mm and fractions, keyed as docs/results.md lists them."""
    deg, ground, worst = math.degrees, r.share.ground, r.clearance.worst
    return {
        "nose_share_min": ground.share_min.value,
        "nose_share_max": ground.share_max.value,
        "nose_share_in_band": r.share.in_band,
        "nose_load_max_n": ground.nose_load_max.value,
        "wheelbase_mm": r.grounds[0].wheelbase,
        "tip_back_deg": deg(ground.tip_back_min.value),
        "cg_min_fs_mm": r.share.cg.forward.value,
        "cg_max_fs_mm": r.share.cg.aft.value,
        "steer_axis_tilt_deg": deg(r.steering.tilt),
        "trail_mm": r.steering.state("static").trail,
        "over_centre_mm": r.gear.brace.over_centre,
        "over_centre_deg": deg(r.gear.brace.over_centre_angle),
        "leg_swing_deg": deg(r.stroke.swing[-1]),
        "driven_rotation_deg": deg(r.stroke.driven_up),
        "dead_centre_overswing_deg": deg(r.stroke.overswing),
        "transmission_angle_min_deg": deg(r.stroke.transmission.min()),
        "actuator_length_down_mm": float(r.stroke.actuator_length[0]),
        "actuator_length_up_mm": float(r.stroke.actuator_length[-1]),
        "actuator_stroke_mm": r.stroke.actuator_stroke,
        "actuator_dead_length_mm": float(r.stroke.actuator_length.min()) - r.stroke.actuator_stroke,
        "actuator_push_peak_1g_n": r.actuation.peak(1.0),
        "actuator_push_peak_2g_n": r.actuation.peak(2.0),
        "brace_force_aft_n": r.loads.of("aft load").brace,
        "brace_force_forward_n": r.loads.of("forward load").brace,
        "knee_stop_force_aft_n": r.loads.of("aft load").stop,
        "least_margin_mm": worst.margin if worst else None,
        "least_margin_item": worst.item if worst else None,
        "least_margin_part": worst.part if worst else None,
        "least_margin_at_deg": deg(worst.swing) if worst else None,
        "keep_out_side_area_mm2": r.swept.keep_out.side_area,
        "keep_out_volume_mm3": r.swept.keep_out.volume,
        "cg_shift_on_retraction_kg_mm": r.moment_shift.real,
    }


def full(solution: Solution, more: Mapping[str, Any] = MappingProxyType({})) -> dict[str, Any]:
    """Headline first, then the findings, every section of the results, and ``more`` sections."""
    r = solution.results
    sections = {name: section(r) for name, section in SECTIONS.items()}
    judged = [finding(f) for f in solution.findings]
    table: dict[str, Any] = clean({"headline": headline(r), "findings": judged, **sections, **more})
    return table


def finding(f: Finding) -> dict[str, Any]:
    return {**f.__dict__, "passed": f.passed}


def clean(value: Any) -> Any:
    """Plain JSON values; a number that is not finite becomes null."""
    if isinstance(value, dict):
        return {k: clean(v) for k, v in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [clean(v) for v in value]
    if isinstance(value, np.generic):
        return clean(value.item())
    if isinstance(value, complex):
        return [clean(value.real), clean(value.imag)]
    return None if isinstance(value, float) and not math.isfinite(value) else value
