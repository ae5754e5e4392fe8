"""Lock, end stops and doors. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linkage.doors import DoorMotion
from linkage.lock import Held
from linkage.results import Results


def lock(r: Results) -> dict[str, Any]:
    """Seat, pre-load, holders and every load that pulls the lock off its stop, N at the stop."""
    k, travel = r.lock, r.lock.travel
    return {
        "offset_mm": k.offset,
        "past_straight_deg": None if k.bend is None else math.degrees(k.bend),
        "forces_stated_at": k.seat.what,
        "dead_centre": None
        if travel is None
        else {
            "driven_deg": math.degrees(travel.dead_driven),
            "actuator_length_mm": travel.dead_length,
            "actuator_travel_from_lock_mm": travel.dead_travel,
            "actuator_driven_back_mm": travel.back,
            "leg_overswing_deg": math.degrees(travel.overswing),
            "shortfall_that_loses_the_lock_mm": travel.shortfall,
            "least_offset_mm": travel.least_offset,
            "actuator_travel_at_least_offset_mm": travel.least_travel,
        },
        "preload": {
            "springs_n": dict(k.preload.springs),
            "springs_cold_and_worn_n": k.preload.least,
            "weight_on_jacks_n": k.preload.weight,
            "spring_scale_at_the_knee_n": k.preload.scale,
        },
        "stops": list(k.stops.present),
        "offset_if_the_ends_were_held": [
            {"links_longer_by_mm": o.error, "offset_mm": o.offset, "lack_mm": o.lack} for o in k.stops.held_ends
        ],
        "holders": [{"name": h.name, "own_n": h.own, "capacity_n": h.capacity} for h in k.holders],
        "release": k.release,
        "held": [_held(h) for h in k.held],
    }


def _held(h: Held) -> dict[str, Any]:
    return {
        "condition": h.load.condition.name,
        "rule": h.load.condition.rule,
        "level": "ultimate",
        "strut_compression_mm": h.load.strut,
        "brace_axial_compression_n": h.brace,
        "lock_link_axial_compression_n": h.lock_link,
        "press_onto_stop_n": h.press,
        "springs_n": h.springs,
        "left_to_hold_n": h.demand,
        "holder": h.holder.name if h.holder else None,
        "holder_own_force_n": h.own,
        "capacity_n": h.capacity,
        "margin_n": h.margin,
    }


def end_stops(r: Results) -> dict[str, Any]:
    """What ends the stroke at either end, with the travel left there in mm."""
    ends, up = r.end_stops, r.end_stops.up
    return {
        "axle_per_actuator_down": ends.axle_rate_down,
        "axle_per_actuator_up": ends.axle_rate_up,
        "brace_or_track_travel_mm": ends.brace,
        "up": None
        if up is None
        else {
            "kind": up.kind,
            "overtravel_reached_mm": up.reached,
            "axle_beyond_mm": up.axle,
            "swing_beyond_deg": math.degrees(up.swing),
            "held_place_beyond_mm": up.moves,
            "hold_n": up.hold,
            "stall_on_stop_n": up.stall,
        },
    }


def door(d: DoorMotion) -> dict[str, Any]:
    """One door over the stroke: opening and rod angle in deg, tyre gap in mm, where it turns back."""
    return {
        "name": d.name,
        "opening_deg": np.degrees(d.opening),
        "rod_angle_deg": np.degrees(d.rod_angle),
        "tyre_gap_mm": d.tyre_gap,
        "tyre_lowest_wl_mm": d.tyre_low,
        "turns_back_at_swing_deg": [math.degrees(s) for s in d.turn_swings],
        "opens_beyond_its_ends_deg": math.degrees(d.beyond),
        "turn_per_leg_turn_down": d.lever_down,
        "turn_per_leg_turn_up": d.lever_up,
    }
