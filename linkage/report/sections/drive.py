"""Forces while the gear moves, size of the drive, CG travel, emergency extension. Keys end in their unit."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

import numpy as np

from linkage.actuation.conditions import Condition
from linkage.actuation.drive import WAYS
from linkage.extension import Extension
from linkage.results import Results


def condition(c: Condition) -> dict[str, Any]:
    return {
        "load_factor": c.load_factor,
        "speed_mps": c.speed,
        "thrust_n": c.thrust,
        "spring_health": c.health if c.sprung else None,
        "temperature_c": c.temperature if c.sprung else None,
    }


def moving(r: Results) -> dict[str, Any]:
    """Every condition's actuator force; causes and joints where the least room is."""
    d = r.drive
    c, w, pose = d.worst()
    at = {"condition": str(d.conditions[c]), "moving": WAYS[w], "swing_deg": math.degrees(float(r.stroke.swing[pose]))}
    return {
        "conditions": [
            {**condition(case), **{f"push_{way}_n": d.push[i, j] for j, way in enumerate(WAYS)}}
            for i, case in enumerate(d.conditions)
        ],
        "rated_push_n": None if d.rated is None else d.rated[0],
        "rated_pull_n": None if d.rated is None else d.rated[1],
        "governing": {
            **at,
            "push_n": d.push[c, w, pose],
            "room_n": None if d.room is None else d.room[c, w, pose],
            "moment_at_driven_link_nmm": {cause: m[c, w] for cause, m in d.moment.items()},
            "moment_about_trunnion_nmm": {cause: about_trunnion(r, m[c, w]) for cause, m in d.moment.items()},
            "joint_n": {name: np.abs(f[c, w]) for name, f in d.joint.items()},
        },
        "greatest_joint_n": {
            name: {"force_n": size, "condition": str(d.conditions[i]), "moving": WAYS[j], "pose": p}
            for name, (size, i, j, p) in d.peak_joints().items()
        },
        "actuator_travel_per_axle_travel": d.advantage,
        "actuator_travel_per_leg_swing_mm": d.arm,
        "reduced_inertia_kgmm2": 1e3 * d.units.inertia,
        "time_s": None if d.run is None else d.run.time,
        "actuator_speed_mmps": None if d.run is None else d.run.actuator_speed,
        "two_roads_relative_difference": d.disagreement,
        "covers": "weight, air with slipstream, springs, pin and seal friction, inertia of the time law",
    }


def about_trunnion(r: Results, moment: Any) -> Any:
    """The moment about the trunnion that does the same work, positive towards up; NaN at dead centre."""
    return moment * r.drive.arm / np.abs(r.stroke.actuator_rate)


def sizing(r: Results) -> dict[str, Any]:
    """Unit that makes the greatest force of the study's conditions: oil, screw or hand, each with its own units."""
    s = r.sizing
    out: dict[str, Any] = {"push_n": s.push, "pull_n": s.pull, "speed_mmps": s.speed}
    if s.hydraulic is not None:
        names = dict(
            zip(
                asdict(s.hydraulic),
                ("push_mpa", "pull_mpa", "available_mpa", "flow_lpm", "stroke_volume_l", "power_w", "least_bore_mm"),
                strict=True,
            )
        )
        out["hydraulic"] = {names[k]: v for k, v in asdict(s.hydraulic).items()}
    if s.screw is not None:
        names = dict(
            zip(
                asdict(s.screw),
                (
                    "motor_torque_nmm",
                    "screw_efficiency",
                    "turns",
                    "speed_rpm",
                    "motor_power_w",
                    "lowering_torque_nmm_per_n",
                    "least_friction_that_holds",
                ),
                strict=True,
            )
        )
        out["screw"] = {names[k]: v for k, v in asdict(s.screw).items()} | {"self_locking": s.screw.self_locking}
    if s.hand is not None:
        out["hand"] = {"kind": s.hand.kind, "effort_n": s.hand.effort, "strokes": s.hand.strokes}
    return out


def cg_travel(r: Results) -> dict[str, Any]:
    """CG of the lightest and the heaviest loading over the stroke, mm, and the moment shift, kg mm."""
    t, share = r.cg_travel, r.share
    light, heavy = share.cg.mass_min.value, share.cg.mass_max.value
    out: dict[str, Any] = {
        "swing_deg": np.degrees(r.stroke.swing),
        "moment_shift_fs_kgmm": t.shift.real,
        "moment_shift_wl_kgmm": t.shift.imag,
    }
    for name, mass in (("lightest", light), ("heaviest", heavy)):
        path = t.at_mass(mass)
        out[f"{name}_cg_shift_mm"] = {"mass_kg": mass, "fs": path.real, "wl": path.imag}
    states = (("gear_down", share.cg), ("gear_up", share.cg_up))
    for name, span in (*states, ("furthest_forward", t.forward_range), ("furthest_aft", t.aft_range)):
        out[name] = {"cg_forward_fs_mm": span.forward.value, "cg_aft_fs_mm": span.aft.value} | _chord(r, span)
    return out


def _chord(r: Results, span: Any) -> dict[str, float]:
    chord = r.study.airframe.mean_chord
    if chord is None:
        return {}
    ends = (("forward", span.forward.value), ("aft", span.aft.value))
    return {f"cg_{n}_pct_chord": 100.0 * (x - chord.leading_edge_fs) / chord.length for n, x in ends}


def emergency(r: Results) -> dict[str, Any] | None:
    """Falls, energies in J and speeds in m/s of the emergency extension; None if the study has none."""
    e = r.extension
    if e is None:
        return None
    v = e.envelope
    return {
        "corners": [
            {**condition(c), "energy_left_at_dead_centre_j": float(left)}
            for c, left in zip(e.corners, e.reserves, strict=True)
        ],
        "hardest": _fall(e.hardest),
        "fastest": _fall(e.fastest),
        "closing_moment_nmm": e.closing,
        "envelope": {
            "spring_health": v.health,
            "lowest_speed_mps": v.lowest,
            "highest_speed_mps": v.highest,
            "searched_to_mps": v.searched,
            "resolved_to_mps": v.step,
            "temperature_c": v.temperature,
        },
        "required_speeds_mps": list(e.required_speeds),
        "two_roads_relative_difference": e.disagreement,
        "table_relative_error": e.table_error,
        "covers": "one degree of freedom, rigid links, friction of pins and seals; not the give of structure and pins",
    }


def _fall(x: Extension) -> dict[str, Any]:
    return {
        "condition": condition(x.condition),
        "locks": x.locks,
        "stalls_at_swing_deg": None if x.stop is None else math.degrees(x.stop[1]),
        "stalls_at_driven_deg": None if x.stop is None else math.degrees(x.stop[0]),
        "time_s": x.duration,
        "energy_at_dead_centre_j": x.at_dead_centre,
        "energy_at_first_contact_j": x.arrival,
        "arrival_axle_speed_mps": x.arrival_speed,
        "energy_at_stop_j": x.at_stop,
        "driven_rate_at_stop_radps": x.stop_rate,
        "work_j": x.work,
        "energy_balance_relative_error": x.energy_error,
        "history": {
            "time_s": x.time,
            "driven_deg": np.degrees(x.driven),
            "swing_deg": np.degrees(x.swing),
            "kinetic_energy_j": x.kinetic,
        },
    }
