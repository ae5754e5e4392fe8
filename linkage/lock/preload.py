"""What presses the lock onto its stop with nobody on the ground: springs and the gear's own weight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linkage.actuation.sources import WEIGHT, tie_length, units
from linkage.actuation.springs import spring_law, state_factor, tie_pull
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.lock.seat import Seat
from linkage.stroke import Stroke, motion_at


@dataclass(frozen=True)
class Preload:
    """N, positive onto the stop. ``springs``: by name, new, at the temperature of their data; ``least``: all together,
    cold and due for replacement; ``weight``: of the gear at 1 g, on jacks. ``scale``: what a spring scale reads when it
    just lifts the knee off its stop, pulled square to its line, gear on jacks, springs new, pins without friction."""

    springs: Mapping[str, float]
    least: float
    weight: float
    scale: float


@dataclass(frozen=True)
class Moments:
    """Generalised forces on the driven rotation at one pose, N mm, positive towards up. ``springs``: by name, new, at
    the temperature of their data; ``worn``: all together, cold and due for replacement; ``weight``: at 1 g."""

    springs: Mapping[str, float]
    worn: float
    weight: float


def moments(study: Study, gear: Gear, stroke: Stroke, pose: int) -> Moments:
    """By virtual work at a pose of the stroke."""
    motion = motion_at(gear, stroke.driven[[pose]])
    unit = units(study, gear, motion)
    health, _ = study.limits.spring_health.ends(low=1.0)
    springs: dict[str, float] = {}
    worn = 0.0
    for entry in study.gear.spring:
        length = stroke.spring_lengths[entry.name]
        push = float(spring_law(entry, float(length.max()), float(length.min())).force(length[pose]))
        springs[entry.name] = push * float(unit.of(entry.name)[0])
        worn += springs[entry.name] * state_factor(entry, study.temperatures.cold_c, health)
    for tie, coil in zip(gear.ties, study.gear.lock_spring, strict=True):
        springs[tie.name] = float(tie_pull(coil, tie_length(motion, tie))[0]) * float(unit.of(tie.name)[0])
        worn += springs[tie.name]
    return Moments(springs, worn, float(unit.of(WEIGHT)[0]))


def preload(study: Study, gear: Gear, stroke: Stroke, at: Seat) -> Preload:
    """What springs and weight press onto the stop in the locked position, N."""
    found = moments(study, gear, stroke, 0)
    total = sum(found.springs.values()) + found.weight
    return Preload(
        {name: -moment / at.rate for name, moment in found.springs.items()},
        -found.worn / at.rate,
        -found.weight / at.rate,
        -total / at.pull_rate if at.pull_rate > 0 else float(np.nan),
    )
