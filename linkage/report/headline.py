"""The few numbers that scripts rely on, and the full results by section: units in every key, no NaN."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linkage.checks import Finding
from linkage.clearance import Gap
from linkage.loading import Extreme
from linkage.loads import LockedLoad
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


def full(solution: Solution) -> dict[str, Any]:
    """Headline first, then every section."""
    r = solution.results
    return clean(
        {
            "headline": headline(r),
            "findings": [finding(f) for f in solution.findings],
            "load_share": _share(r),
            "stance": [_ground(g) for g in r.grounds],
            "steering": _steering(r),
            "brace": _brace(r),
            "stroke": _stroke(r),
            "ground_loads": [_load(load) for load in r.loads.locked],
            "actuation": _actuation(r),
            "clearance": [_gap(g) for g in r.clearance.bay],
            "self_clearance": [_gap(g) for g in r.clearance.own],
            "keep_out": _keep_out(r),
        }
    )


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


def _extreme(e: Extreme, factor: float = 1.0) -> dict[str, Any]:
    return {
        "value": e.value * factor,
        "mass_kg": e.case.mass_kg,
        "cg_fs_mm": e.case.fs_mm,
        "cg_wl_mm": e.case.wl_mm,
        "loading_kg": dict(e.case.masses),
    }


def _share(r: Results) -> dict[str, Any]:
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


def _ground(g: Any) -> dict[str, Any]:
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


def _steering(r: Results) -> dict[str, Any]:
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


def _brace(r: Results) -> dict[str, Any]:
    b = r.gear.brace
    return {
        "upper_link_mm": b.upper_link,
        "lower_link_mm": b.lower_link,
        "over_centre_mm": b.over_centre,
        "over_centre_deg": math.degrees(b.over_centre_angle),
        "upper_pin_to_lug_mm": b.span,
        "knee_mm": b.knee,
        "lug_mm": b.lug,
        "leg_tilt_top_aft_deg": math.degrees(r.steering.tilt),
    }


def _stroke(r: Results) -> dict[str, Any]:
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


def _load(load: LockedLoad) -> dict[str, Any]:
    c = load.condition
    return {
        "condition": c.name,
        "rule": c.rule,
        "level": "limit",
        "point": c.at,
        "wheel_n": load.wheel,
        "brace_axial_compression_n": load.brace,
        "knee_stop_n": load.stop,
        "knee_stop_couple_nmm": load.stop_couple,
        "trunnion_on_airframe_n": load.trunnion,
        "upper_pin_on_airframe_n": load.upper_pin,
    }


def _actuation(r: Results) -> dict[str, Any]:
    a = r.actuation
    return {
        "load_factors": list(a.load_factors),
        "push_n": {f"{n:g} g": row for n, row in zip(a.load_factors, a.push, strict=True)},
        "two_roads_relative_difference": a.disagreement,
        "covers": "weight of the moving parts only",
    }


def _gap(g: Gap) -> dict[str, Any]:
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


def _keep_out(r: Results) -> dict[str, Any]:
    k = r.swept.keep_out
    return {
        "side_area_mm2": k.side_area,
        "volume_mm3": k.volume,
        "allowance_mm": k.allowance,
        "tolerance_mm": k.tolerance,
        "states": list(k.states),
        "slabs": [{"bl_lo_mm": s.bl_lo, "bl_hi_mm": s.bl_hi, "area_mm2": s.region.area} for s in k.slabs],
    }
