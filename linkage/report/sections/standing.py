"""Loading review, stance, stations and tyre. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

from linkage.loading import BaggageMap, Extreme, LoadCase
from linkage.results import Results
from linkage.stance import Settled
from linkage.stations import Bound, Interval


def loading(r: Results) -> dict[str, Any]:
    """Weighing, mass and lateral CG, wheel loads, fuel burn of the worst cases, map of two items."""
    review, cg, ground, static = r.loadings, r.share.cg, r.share.ground, r.grounds[0].stance
    scales = review.weighed
    return {
        "weighed": scales
        and {"mass_kg": scales.mass_kg, "cg_fs_mm": scales.fs_mm, "cg_bl_mm": scales.bl_mm, "gear": "down"},
        "mass_min_kg": cg.mass_min.value,
        "mass_max_kg": cg.mass_max.value,
        "cg_left_bl_mm": _at(cg.left),
        "cg_right_bl_mm": _at(cg.right),
        "cg_low_wl_mm": _at(cg.low),
        "cg_high_wl_mm": _at(cg.high),
        "main_load_max_n": _at(ground.main_load_max),
        "main_leg_load_max_n": _at(r.standing.side_load),
        "fuel_burn": [
            {
                "from": burn.worst,
                "corners": [{**_case(c), "nose_share": static.share(c.cg)} for c in burn.path.cases],
            }
            for burn in review.burns
        ],
        "map": review.map and _map(review.map),
    }


def standing(r: Results) -> dict[str, Any]:
    """Turnover, propeller and tail as drawn, and the worst loadings settled on their springs."""
    stand, found = r.standing, r.standing.settled
    worst = ("share_min", "share_max", "nose_load_max", "tip_back_min", "turnover_max", "propeller_min", "tail_min")
    return {
        "turnover_deg": {**_at(stand.turnover), "value": math.degrees(stand.turnover.value)},
        "propeller_clearance_mm": {c.state: c.value for c in stand.propeller},
        "tail_contact_deg": None if stand.tail is None else math.degrees(stand.tail),
        "settled": found
        and {
            "loadings": found.loadings,
            **{name: _settled(case) for name in worst if (case := getattr(found, name)) is not None},
        },
    }


def stations(r: Results) -> dict[str, Any]:
    """Where nose wheel and mains may stand, FS of the ground contact."""
    return {
        "covers": "wheel moved along the static ground line, attitude kept; only the ground contact moves, the mass of"
        " the gear stays",
        "nose": _interval(r.stations.nose),
        "mains": _interval(r.stations.mains),
    }


def tyre(r: Results) -> dict[str, Any]:
    """Growth by formula beside the declared sizes, loaded radius, reaction against the dynamic rating."""
    entry, check = r.study.tyre, r.standing.tyre
    return {
        "size": entry.size,
        "source": entry.source,
        "grown_diameter_mm": check.grown.diameter,
        "grown_width_mm": check.grown.width,
        "declared_grown_diameter_mm": check.declared[0],
        "declared_grown_width_mm": check.declared[1],
        "static_loaded_radius_mm": entry.static_loaded_radius,
        "static_deflection_of_section_height": check.deflection,
        "forward_inertia_g": check.inertia,
        "dynamic_reaction_n": _at(check.reaction),
        "rated_dynamic_load_n": entry.rated_dynamic_load,
    }


def _at(e: Extreme) -> dict[str, Any]:
    return {"value": e.value, **_case(e.case)}


def _case(c: LoadCase) -> dict[str, Any]:
    return {
        "mass_kg": c.mass_kg,
        "cg_fs_mm": c.fs_mm,
        "cg_wl_mm": c.wl_mm,
        "cg_bl_mm": c.bl_mm,
        "loading_kg": dict(c.masses),
    }


def _map(m: BaggageMap) -> dict[str, Any]:
    return {
        "items": [m.item_a, m.item_b],
        "covers": "every loading of the rest",
        "a_kg": m.a_kg,
        "b_kg": m.b_kg,
        "possible": m.possible,
        "nose_share_ok": m.share_ok,
        "cg_ok": m.cg_ok,
    }


def _settled(s: Settled) -> dict[str, Any]:
    return {
        **_case(s.case),
        "nose_share": s.share,
        "nose_load_n": s.nose_load,
        "strut_compression_mm": s.compression,
        "loaded_radius_mm": s.loaded_radius,
        "main_travel_up_mm": s.main_travel,
        "pitch_nose_up_deg": math.degrees(s.pitch),
        "tip_back_deg": math.degrees(s.tip_back),
        "turnover_deg": math.degrees(s.turnover),
        "propeller_clearance_mm": s.propeller,
        "tail_contact_deg": None if s.tail is None else math.degrees(s.tail),
    }


def _interval(i: Interval) -> dict[str, Any]:
    return {
        "chosen_fs_mm": i.chosen,
        "holds": i.holds,
        "empty": i.empty,
        "forward": i.forward and _bound(i.forward),
        "aft": i.aft and _bound(i.aft),
        "bounds": [_bound(b) for b in i.bounds],
        "not_changed": [{"limit": f.limit, "holds": f.holds} for f in i.fixed],
    }


def _bound(b: Bound) -> dict[str, Any]:
    return {"limit": b.limit, "side": b.side, "fs_mm": b.at, "loading_kg": b.case and dict(b.case.masses)}
