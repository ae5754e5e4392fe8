"""Ground conditions, governing loads, interface loads, buckling. Keys end in their unit (docs/conventions.md).

Forces are (FS aft, BL right, WL up). ``level`` says what a number is; ultimate values stand beside limit values, never
in their place.
"""

from __future__ import annotations

import math
from typing import Any

from linkage.loads import Column, ConditionLoad, Governing, LegLoads, PointLoad
from linkage.results import Results


def ground_conditions(r: Results) -> dict[str, Any]:
    """Every ground condition with loading, strut position, forces and leg loads."""
    return {
        "set": r.loads.source,
        "safety_factor": r.loads.safety_factor,
        "conditions": [condition(load) for load in r.loads.conditions],
        "left_out": [{"rule": rule, "why": why} for rule, why in r.loads.left_out],
    }


def condition(load: ConditionLoad) -> dict[str, Any]:
    c, corner = load.condition, load.corner
    return {
        "condition": c.name,
        "rule": c.source,
        "level": c.level,
        "safety_factor_to_ultimate": load.factor,
        "attitude": c.ground.state,
        "point": c.at,
        "strut_compression_mm": load.strut,
        "mass_kg": corner.case.mass_kg,
        "loading_kg": dict(corner.case.masses),
        "nose_vertical_n": corner.vertical,
        "nose_vertical_proved_at_most_n": corner.at_most,
        "wheel_on_gear_n": load.wheel,
        "brace_axial_compression_n": load.brace,
        "lock_link_axial_compression_n": load.lock_link,
        "knee_stop_n": load.stop,
        "knee_stop_couple_nmm": load.stop_couple,
        "knee": knee(load),
        "actuator_n": 0.0,
        "actuator_push_if_lock_lost_n": load.push_if_lost,
        "steering_torque_nmm": float(load.leg.torque[-1]),
        "leg": leg(load.leg),
        "closure_relative": load.closure,
    }


def knee(load: ConditionLoad) -> str:
    """Which way the condition pushes the knee of the pair that locks."""
    return "pressed on its stop" if load.stop > 0 else "pulled off its stop" if load.stop < 0 else "not loaded"


def leg(x: LegLoads) -> dict[str, Any]:
    return {
        "station_down_leg_mm": x.station,
        "place": list(x.place),
        "axial_compression_n": x.axial,
        "shear_aft_n": x.shear_aft,
        "shear_side_n": x.shear_side,
        "bending_aft_nmm": x.bend_aft,
        "bending_side_nmm": x.bend_side,
        "torque_nmm": x.torque,
    }


def governing(r: Results) -> list[dict[str, Any]]:
    """Which condition decides which quantity of which part."""
    return [_governing(g) for g in r.loads.governing]


def _governing(g: Governing) -> dict[str, Any]:
    unit = g.unit.lower().replace(" ", "")
    return {
        "part": g.part,
        "what": g.what,
        f"limit_{unit}": g.limit,
        f"ultimate_{unit}": g.ultimate,
        "condition": g.load.condition.name,
        "rule": g.load.condition.source,
        "where": g.where,
        "strut_compression_mm": g.load.strut,
        "loading": str(g.load.corner.case),
    }


def interface_loads(r: Results) -> list[dict[str, Any]]:
    """Force and couple on the airframe at each pin, by condition: (FS, BL, WL), N and N mm."""
    return [
        {
            "condition": load.condition.name,
            "rule": load.condition.source,
            "level": load.condition.level,
            "safety_factor_to_ultimate": load.factor,
            "strut_compression_mm": load.strut,
            "loading": str(load.corner.case),
            "on_gear": [_point(p) for p in load.applied],
            "on_airframe": [_point(p) for p in load.airframe],
            "closure_relative": load.closure,
        }
        for load in r.loads.conditions
    ]


def _point(p: PointLoad) -> dict[str, Any]:
    return {"point": p.name, "at_mm": p.at, "force_n": p.force, "couple_nmm": p.couple}


def buckling(r: Results) -> list[dict[str, Any]]:
    """Each member of the brace as a column, ultimate, N."""
    return [_column(c) for c in r.loads.columns]


def _column(c: Column) -> dict[str, Any]:
    return {
        "member": c.member,
        "length_mm": c.length,
        "euler_n": c.euler,
        "capacity_ultimate_n": c.capacity,
        "compression_ultimate_n": c.ultimate,
        "margin": c.margin if math.isfinite(c.margin) else None,
        "method": c.method,
    }
