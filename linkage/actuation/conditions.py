"""States in which the gear has to move, and how much of every cause acts in each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.actuation.air import drag
from linkage.actuation.law import Run
from linkage.actuation.sources import AIR, SPEEDING, TURNING, WEIGHT, Units, tie_length
from linkage.actuation.springs import spring_law, state_factor, tie_pull
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism.model import Floats
from linkage.stroke import Stroke


@dataclass(frozen=True)
class Condition:
    """A state in which the gear has to move. ``speed`` m/s, ``thrust`` N, ``health`` 0 to 1, ``temperature`` deg C;
    ``sprung``: there are gas springs to which the last two apply."""

    load_factor: float
    speed: float
    thrust: float
    health: float
    temperature: float
    sprung: bool = True

    def __str__(self) -> str:
        air = f"{self.speed:.4g} m/s" if self.speed or self.thrust else "still air"
        springs = f", springs {100 * self.health:.0f} % at {self.temperature:g} C" if self.sprung else ""
        return f"{self.load_factor:g} g, {air}{springs}"


def conditions(study: Study) -> tuple[Condition, ...]:
    """Corners of load factor, air (still, and as fast as the gear moves) and springs (cold and due, warm and new).

    The fastest is the greater of the rule's factor on the stall speed and the gear operating speed.
    """
    limits, speeds, heat = study.limits, study.speeds, study.temperatures
    factors = dict.fromkeys((limits.load_factor.min, limits.load_factor.max))
    fast = max(limits.air_speed.factor * (speeds.stall_clean or 0.0), speeds.gear_operating or 0.0)
    airs = [(0.0, 0.0)]
    if study.air is not None and (fast > 0 or study.air.thrust > 0):
        airs.append((fast, study.air.thrust))
    least, most = limits.spring_health.ends(1.0, 1.0)
    springs = [(least, heat.cold_c), (most, heat.warm_c)]
    if not study.gear.spring:
        springs = springs[1:]
    sprung, each = bool(study.gear.spring), itertools.product(factors, airs, springs)
    return tuple(Condition(n, v, thrust, h, t, sprung) for n, (v, thrust), (h, t) in each)


def amounts(
    study: Study, gear: Gear, stroke: Stroke, unit: Units, cases: Sequence[Condition], run: Run | None
) -> Floats:
    """How much of every source there is in the state, the actuator's 0 and the couples left out.

    (conditions, sources, poses). Seals are not in it, see `seal_drag`.
    """
    known, at = len(unit.sources) - len(unit.couples), {name: i for i, name in enumerate(unit.sources)}
    out = np.zeros((len(cases), known, len(stroke.driven)))
    for c, case in enumerate(cases):
        out[c, at[WEIGHT]] = case.load_factor
        out[c, at[AIR]] = drag(study, case.speed, case.thrust)
        for spring in study.gear.spring:
            length = stroke.spring_lengths[spring.name]
            law = spring_law(spring, float(length.max()), float(length.min()))
            out[c, at[spring.name]] = law.force(length) * state_factor(spring, case.temperature, case.health)
    for tie, entry in zip(gear.ties, study.gear.lock_spring, strict=True):
        out[:, at[tie.name]] = tie_pull(entry, tie_length(stroke.motion, tie))
    if run is not None:
        out[:, at[SPEEDING]] = run.accel
        out[:, at[TURNING]] = run.rate**2
    return out


def seal_drag(study: Study, unit: Units) -> Floats:
    """What the seals of the gas springs take from their push on the way up, N (sources but couples, poses)."""
    out = np.zeros((len(unit.sources) - len(unit.couples), unit.moment.shape[-1]))
    for spring in study.gear.spring:
        out[unit.sources.index(spring.name)] = spring.friction * np.sign(unit.of(spring.name))
    return out
