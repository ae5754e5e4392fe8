"""Actuator force over the stroke under every cause, both ways, with the forces of all pins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.actuation.conditions import Condition, amounts, conditions, seal_drag
from linkage.actuation.friction import settle
from linkage.actuation.gravity import NEAR_DEAD, useful
from linkage.actuation.law import Run, run_law
from linkage.actuation.rated import rated_curve
from linkage.actuation.sources import ACTUATOR, SPEEDING, TURNING, Units, units
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism.model import Complexes, Floats
from linkage.stroke import Stroke

WAYS = ("up", "down")
FRICTION, INERTIA = "friction", "inertia"


@dataclass(frozen=True)
class Drive:
    """Arrays (conditions, 2, poses), the ways in the order of `WAYS`. N, N mm; push and "towards up" are positive.

    ``push``: actuator force, NaN where it does not drive the gear. ``moment[cause]``: generalised force at the driven
    link. ``joint[name]``: force of body a on body b, FS + 1j*WL. ``room``: rated force left, N, negative where it
    falls short; None without a rating. ``rated``: push and pull (2, poses). ``jammed``: friction holds the gear.
    ``advantage``: actuator travel per travel of the axle; ``arm``: actuator travel in mm per rad of leg swing; both
    NaN at the dead centre, where they are without bound. ``disagreement``: greatest difference of the two roads (pin
    equilibrium, virtual work) relative to the greatest force.
    """

    conditions: tuple[Condition, ...]
    push: Floats
    moment: Mapping[str, Floats]
    joint: Mapping[str, Complexes]
    room: Floats | None
    rated: Floats | None
    jammed: NDArray[np.bool_]
    advantage: Floats
    arm: Floats
    units: Units
    run: Run | None
    disagreement: float

    def worst(self) -> tuple[int, int, int]:
        """Condition, way and pose with the least room, or without a rating the greatest force."""
        return _first(self.room if self.room is not None else -np.abs(self.push))

    def peak_joints(self) -> dict[str, tuple[float, int, int, int]]:
        """Greatest force of every joint, N, with its condition, way and pose."""
        found = {}
        for name, force in self.joint.items():
            if np.isfinite(force).any():
                at = _first(-np.abs(force))
                found[name] = (float(np.abs(force[at])), *at)
        return found


def drive(study: Study, gear: Gear, stroke: Stroke) -> Drive:
    """Everything at every pose of the stroke. Raises ``DocumentError`` if a rated curve does not cover it."""
    entry = study.gear.actuator
    unit, cases = units(study, gear, stroke.motion), conditions(study)
    run = run_law(gear, stroke, entry.cycle_time, entry.ramp) if entry.cycle_time is not None else None
    clean, seals = amounts(study, gear, stroke, unit, cases, run), seal_drag(study, unit)
    both = np.stack([clean - seals, clean + seals], axis=1)
    drives = useful(stroke)
    push, couple, force = settle(unit, both, np.logical_not(drives))
    rated = rated_curve(entry, stroke.actuator_length)
    advantage, arm = _ratios(stroke)
    return Drive(
        conditions=cases,
        push=push,
        moment=_breakdown(unit, clean, seals, couple, push),
        joint={name: force[:, :, i] for i, name in enumerate(unit.joints)},
        room=None if rated is None else np.where(push > 0, rated[0] - push, rated[1] + push),
        rated=rated,
        jammed=np.isnan(push) & drives,
        advantage=advantage,
        arm=arm,
        units=unit,
        run=run,
        disagreement=_disagreement(unit, both, couple, push),
    )


def _breakdown(unit: Units, clean: Floats, seals: Floats, couple: Floats, push: Floats) -> dict[str, Floats]:
    """Generalised force at the driven link by cause, N mm towards up; they add up to zero."""
    out: dict[str, Floats] = {}
    for i, name in enumerate(unit.sources[: clean.shape[1]]):
        if name != ACTUATOR:
            each = np.repeat((clean[:, i] * unit.moment[i])[:, None], 2, axis=1)
            key = INERTIA if name in (SPEEDING, TURNING) else name
            out[key] = out[key] + each if key in out else each
    rubbed = np.einsum("cwjp,jp->cwp", couple, unit.spin[list(unit.couples)])
    taken = np.einsum("sp,sp->p", seals, unit.moment[: len(seals)])
    out[FRICTION] = rubbed + np.array([-taken, taken])
    out[ACTUATOR] = push * unit.of(ACTUATOR)
    return out


def _disagreement(unit: Units, both: Floats, couple: Floats, push: Floats) -> float:
    """The torque that the equilibrium of all pins still asks for at the driven link, as actuator force, by its peak."""
    known, drive_at = both.shape[2], unit.sources.index(ACTUATOR)
    left = np.einsum("cwsp,sp->cwp", both, unit.effort[:known]) + push * unit.effort[drive_at]
    left = left + np.einsum("cwjp,jp->cwp", couple, unit.effort[known:])
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.abs(left / unit.effort[drive_at])
    return float(np.nanmax(apart, initial=0.0) / max(float(np.nanmax(np.abs(push), initial=0.0)), 1e-9))


def _ratios(stroke: Stroke) -> tuple[Floats, Floats]:
    """Actuator travel per travel of the axle, and per rad of swing in mm; NaN around the dead centre."""
    near = np.abs(stroke.swing_rate) <= NEAR_DEAD * np.max(np.abs(stroke.swing_rate))
    arm = np.abs(stroke.actuator_rate / np.where(near, np.nan, stroke.swing_rate))
    reach = np.abs(stroke.pins["axle"] - stroke.pins["trunnion"])
    return arm / reach, arm


def _first(judged: Floats) -> tuple[int, int, int]:
    """Place of the least value; of several within rounding of each other, the first; the start where there is none."""
    if not np.isfinite(judged).any():
        return 0, 0, 0
    floor = float(np.nanmin(judged))
    with np.errstate(invalid="ignore"):
        places = np.argwhere(judged <= floor + 1e-9 * abs(floor))
    return int(places[0][0]), int(places[0][1]), int(places[0][2])
