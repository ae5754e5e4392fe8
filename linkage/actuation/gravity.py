"""Actuator force over the stroke against the weight of the moving parts, by two roads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.statics import Load, balance, effort_by_work
from linkage.stroke import Stroke
from linkage.units import STANDARD_GRAVITY

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Push:
    """Force over the stroke, N, push positive: arrays over the poses of the stroke, one row for each load factor.

    NaN where the actuator does not drive the gear (`useful`).
    """

    load_factors: tuple[float, ...]
    push: Floats

    def peak(self, load_factor: float) -> float:
        """Greatest push over the stroke, N."""
        return float(np.nanmax(self.push[self.load_factors.index(load_factor)]))

    def pull(self, load_factor: float) -> float:
        """Greatest pull over the stroke, N, as a negative push; positive if the actuator only ever pushes."""
        return float(np.nanmin(self.push[self.load_factors.index(load_factor)]))


@dataclass(frozen=True)
class Actuation(Push):
    """``push`` from the equilibrium of the pins, and ``by_work`` from virtual work. ``joint``: force of body a on body
    b of each joint at the first load factor."""

    by_work: Floats
    joint: dict[str, Complexes]
    disagreement: float
    """Greatest difference between pin equilibrium and virtual work, relative to the greatest force."""


NEAR_DEAD = 1e-6
"""A drive rate below this fraction of the largest is taken as a dead point: no force is quoted there."""


def weights(gear: Gear, load_factor: float) -> list[Load]:
    """Weight of every mass at ``load_factor`` g, N, down (-1j along WL), each on the body that carries it."""
    return [Load(m.at.body, m.at.at, -1j * load_factor * STANDARD_GRAVITY * m.kg) for m in gear.masses]


def driving(stroke: Stroke) -> Flags:
    """True at the poses where the actuator can move the gear: not at a dead point, and not while it is driven back.

    An actuator on the leg is driven back from the lock to dead centre, where something else must break the knee.
    """
    return _driving(stroke.actuator_rate)


def useful(stroke: Stroke) -> Flags:
    """Where the actuator drives the gear, see `useful_at`."""
    return useful_at(stroke.actuator_rate, stroke.actuator_length)


def useful_at(rate: Floats, length: Floats) -> Flags:
    """Where actuators of such rates, mm/rad, and lengths, mm, over the stroke drive their gears: (..., poses). One that
    is driven back from the lock to dead centre counts from where it is past its locked length: until then something
    else breaks the knee, and friction may hold it against the actuator."""
    drives, gone = _driving(rate), length - length[..., :1]
    past_lock = gone * np.sign(gone[..., -1:]) > 0
    return np.asarray(drives & (drives.all(axis=-1, keepdims=True) | past_lock))


def _driving(rate: Floats) -> Flags:
    towards = rate * np.sign(rate[..., -1:])
    return np.asarray(towards > NEAR_DEAD * np.max(np.abs(rate), axis=-1, keepdims=True))


def actuation(study: Study, gear: Gear, stroke: Stroke) -> Actuation:
    """Push in N over the stroke at 1 g, 2 g and the study's load factor, against weight alone, by two roads."""
    factors, loads = _factors(study), weights(gear, 1.0)
    held = balance(gear.mechanism, stroke.motion, loads, gear.effort_at)
    push = np.where(useful(stroke), held.effort[0], np.nan)
    work = _by_work(gear, stroke)
    apart = float(np.nanmax(np.abs(push - work)) / max(float(np.nanmax(np.abs(work))), 1e-9)) if loads else 0.0
    rows = np.array(factors)[:, None]
    return Actuation(factors, rows * push, rows * work, {k: v[0] for k, v in held.joint.items()}, apart)


def push_by_work(study: Study, gear: Gear, stroke: Stroke) -> Push:
    """The same push by virtual work alone, which needs no pin force."""
    factors = _factors(study)
    return Push(factors, np.array(factors)[:, None] * _by_work(gear, stroke))


def _factors(study: Study) -> tuple[float, ...]:
    return tuple(dict.fromkeys((1.0, 2.0, study.limits.load_factor.max)))


def _by_work(gear: Gear, stroke: Stroke) -> Floats:
    """At 1 g, (poses,)."""
    work = effort_by_work(gear.mechanism, stroke.motion, weights(gear, 1.0), gear.effort_at)[0]
    return np.where(useful(stroke), work, np.nan)


def moment_shift(gear: Gear, stroke: Stroke) -> complex:
    """Sum of mass times displacement from down to up, kg mm, FS + 1j*WL."""
    ends = ((m.kg, stroke.motion.point(m.at.body, m.at.at)[0]) for m in gear.masses)
    return complex(sum(kg * (path[-1] - path[0]) for kg, path in ends))
