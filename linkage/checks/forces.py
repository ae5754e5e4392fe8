"""Actuator against everything that acts while the gear moves, and the size of the unit that makes the force."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from linkage.actuation.drive import WAYS
from linkage.checks.finding import Finding
from linkage.results import Results


def forces(r: Results) -> Iterator[Finding]:
    """Actuator push and pull in N, N mm and W with everything that acts while the gear moves."""
    yield from _room(r)
    yield from _jam(r)
    yield from _hydraulic(r)
    yield from _screw(r)
    yield from _hand(r)


def _place(r: Results, pose: int) -> str:
    return f"{math.degrees(float(r.stroke.swing[pose])) + 0.0:.1f} deg swing"


def _room(r: Results) -> Iterator[Finding]:
    d = r.drive
    if d.room is None or d.rated is None:
        return
    for w, way in enumerate(WAYS):
        if not np.isfinite(d.room[:, w]).any():
            continue
        c, pose = np.unravel_index(int(np.nanargmin(d.room[:, w])), d.room[:, w].shape)
        force = float(d.push[c, w, pose])
        allowed = float(d.rated[0 if force > 0 else 1, pose])
        yield Finding(
            "actuator-moving",
            f"actuator {'push' if force > 0 else 'pull'}, gear moving {way}",
            abs(force),
            f"<= {allowed:g}",
            float(d.room[c, w, pose]),
            "N",
            _place(r, int(pose)),
            str(d.conditions[c]),
            r.study.limits.load_factor.source,
        )


def _jam(r: Results) -> Iterator[Finding]:
    held = np.argwhere(r.drive.jammed)
    if len(held):
        c, w, pose = (int(i) for i in held[0])
        state = f"moving {WAYS[w]}, {r.drive.conditions[c]}"
        yield Finding(
            "friction-jam", "poses that friction holds", float(len(held)), "0", -float(len(held)), "", _place(r, pose),
            state, "geometry",
        )  # fmt: skip


def _hydraulic(r: Results) -> Iterator[Finding]:
    h, entry = r.sizing.hydraulic, r.study.gear.actuator.hydraulic
    if h is None or entry is None:
        return
    bore = f"bore {entry.bore:g} mm, least {h.least_bore:.1f} mm"
    for what, value in (("push", h.push_pressure), ("pull", h.pull_pressure)):
        yield Finding(
            "hydraulic-pressure",
            f"pressure for the greatest {what}",
            value,
            f"<= {h.available:.4g}",
            h.available - value,
            "MPa",
            "",
            bore,
            "gear.actuator.hydraulic.pressure",
        )


def _screw(r: Results) -> Iterator[Finding]:
    s, entry = r.sizing.screw, r.study.gear.actuator
    if s is None or entry.screw is None:
        return
    power = entry.screw.motor_power_w
    if power is not None and math.isfinite(s.power):
        state = f"greatest force at the greatest speed, {s.rpm:.0f} rpm"
        yield Finding(
            "motor-power", "motor power", s.power, f"<= {power:g}", power - s.power, "W", "", state,
            "gear.actuator.screw.motor_power_w",
        )  # fmt: skip
    if entry.self_locking:
        have, least = entry.screw.friction, s.locking_friction
        yield Finding(
            "self-locking",
            "thread friction that holds the screw",
            have,
            f">= {least:.3f}",
            have - least,
            "",
            "",
            "gear.actuator.self_locking is claimed",
            "Shigley, Mechanical Engineering Design, power screws (from memory)",
        )


def _hand(r: Results) -> Iterator[Finding]:
    size, entry = r.sizing.hand, r.study.gear.actuator.hand
    if size is not None and entry is not None:
        unit = "turns" if size.kind == "crank" else "strokes"
        yield Finding(
            "hand-effort",
            f"effort at the {size.kind}",
            size.effort,
            f"<= {entry.effort:g}",
            entry.effort - size.effort,
            "N",
            "",
            f"{size.strokes:.0f} {unit}",
            entry.source,
        )
