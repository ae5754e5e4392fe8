"""Actuator force of a family of gears over poses, by virtual work and without friction: gravity alone as it is judged,
and everything that acts in the states in which the gear moves."""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.actuation import useful_at, weights
from linkage.actuation.air import drag
from linkage.actuation.conditions import Condition, conditions
from linkage.actuation.sources import air_load, along, power, span, tie_load
from linkage.actuation.springs import spring_law, state_factor, tie_pull
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.statics import Load, travel_rate


def pushes(study: Study, gear: Gear, motion: Motion) -> tuple[Floats, Floats]:
    """Greatest size of the push against gravity at the greatest load factor judged, and in all states in which the gear
    moves, N: (designs,) each, over the poses at which the actuator drives the gear (`linkage.actuation.useful_at`)."""
    rate = gear.drive_sense * travel_rate(motion, gear.mechanism, gear.effort_at)
    length = span(motion, gear.pins["actuator root"], gear.pins["actuator pin"])
    lever = np.where(useful_at(rate, length), rate, np.nan)
    weight = _work(gear, motion, weights(gear, 1.0))
    with np.errstate(invalid="ignore"):
        gravity = np.nanmax(np.abs(weight / lever), axis=1) * study.limits.load_factor.max
    total = np.zeros(len(weight))
    for case, other in _others(study, gear, motion):
        total = np.fmax(total, np.nanmax(np.abs((case.load_factor * weight + other) / lever), axis=1))
    return gravity, np.asarray(total)


def _work(gear: Gear, motion: Motion, loads: list[Load]) -> Floats:
    return np.asarray(gear.drive_sense * power(motion, loads))


def _others(study: Study, gear: Gear, motion: Motion) -> list[tuple[Condition, Floats]]:
    """Work of air, gas springs and lock springs per rad of driven rotation in each state, N mm (designs, poses)."""
    air = _work(gear, motion, air_load(study, gear, motion))
    springs = []
    for s in study.gear.spring:
        length = span(motion, gear.pins[f"{s.name} root"], gear.pins[f"{s.name} pin"])
        law = spring_law(s, *(f(length, axis=1, keepdims=True) for f in (np.max, np.min)))
        springs.append((s, law.force(length) * _work(gear, motion, along(gear, motion, s.name))))
    ties: Any = 0.0
    for tie, entry in zip(gear.ties, study.gear.lock_spring, strict=True):
        pull = tie_pull(entry, span(motion, tie.start, tie.end))
        ties = ties + pull * _work(gear, motion, tie_load(motion, tie))
    out = []
    for case in conditions(study):
        pushed = sum((w * state_factor(s, case.temperature, case.health) for s, w in springs), start=ties)
        out.append((case, drag(study, case.speed, case.thrust) * air + pushed))
    return out
