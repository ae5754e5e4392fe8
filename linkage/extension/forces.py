"""Everything that moves or holds the falling gear at one place, in several conditions side by side."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from linkage.actuation.sources import ACTUATOR, AIR, SPEEDING, TURNING, WEIGHT
from linkage.actuation.springs import tie_pull, tie_stored
from linkage.extension.faller import Acting, Faller
from linkage.extension.table import Row
from linkage.mechanism.model import Floats

ROUNDS = 40
BINDING = 10.0
"""How many times what drives the gear stands against it where its pins bind: it stops at once."""

SETTLED = 1e-8
"""Part of the greatest friction couple by which one may still move in the last round."""


class Moments(NamedTuple):
    """N mm at the driven link, towards up, for each condition. ``total`` = inertia x acceleration; the others are
    parts of it."""

    total: Any
    turning: Any
    air: Any
    rubbed: Any
    damped: Any


def _greatest(values: Floats) -> float:
    """As ``values.max()``, in a third of the time for a few."""
    return max(values.tolist()) if values.ndim == 1 else float(values.max(initial=0.0))


class Fall:
    """Forces of a faller. Keeps the order of the sources, and the last friction couples as a guess for the next."""

    def __init__(self, faller: Faller, acting: Acting, sources: tuple[str, ...]) -> None:
        self.faller, self.acting = faller, acting
        at = {name: i for i, name in enumerate(sources)}
        self.weight, self.air, self.actuator = at[WEIGHT], at[AIR], at[ACTUATOR]
        self.turning, self.speeding = at[TURNING], at[SPEEDING]
        self.springs = [at[name] for name in faller.gear.springs]
        self.ties = [at[tie.name] for tie in faller.gear.ties]
        self.known = len(at) - sum(1 for name in sources if name.startswith("friction at "))
        seals = [(at[s.name], s.friction) for s in faller.study.gear.spring if s.friction > 0]
        bypass = faller.entry.bypass_friction if faller.entry.actuator == "bypass" else 0.0
        self.rubbing = seals + ([(self.actuator, bypass)] if bypass > 0 else [])
        self.dampers = [
            (
                at[d.on],
                d.coefficient,
                d.law == "linear",
                math.inf if d.last is None else d.last,
                faller.lock_lengths[d.on],
            )
            for d in faller.entry.damper
        ]
        friction = faller.study.gear.friction
        names = [name.removeprefix("friction at ") for name in sources if name.startswith("friction at ")]
        self.radii = np.array([friction.at(name) for name in names] if friction is not None else [])
        self.largest = float(self.radii.max(initial=0.0))
        self.shape: tuple[int, ...] = np.shape(acting.weight)
        pins, conditions = len(names), self.shape
        self.couples = np.zeros((pins, *conditions)), np.zeros((pins, *conditions))
        force = np.zeros((2 * pins, *conditions))
        self.room = force, force[:pins], force[pins:], np.zeros((pins, *conditions))

    def moments(self, row: Row, rate: Any) -> Moments:
        """At driven rates in rad/s, 0 or downward (negative); at 0 friction stands against a fall."""
        amount = np.zeros((self.known, *self.shape))
        moment, potential = row.moment.tolist(), row.potential.tolist()  # plain numbers are quicker one by one
        amount[self.weight] = self.acting.weight
        wind = self.acting.wind - 1e-3 * moment[self.air] * rate  # 1 N does the work of its centre's way
        drag, turning = self.acting.air * row.area * wind * abs(wind), rate * rate
        amount[self.air], amount[self.turning] = drag, turning
        for i, law, factor in zip(self.springs, self.faller.springs, self.acting.springs, strict=True):
            amount[i] = law.force(potential[i]) * factor
        for i, entry in zip(self.ties, self.faller.study.gear.lock_spring, strict=True):
            amount[i] = tie_pull(entry, potential[i])
        rubbed: Any = 0.0
        damped: Any = 0.0 * rate
        for i, friction in self.rubbing:
            push = friction if moment[i] > 0 else -friction  # the rate is downward, so the length changes against it
            amount[i] += push
            rubbed = rubbed + moment[i] * push
        for i, coefficient, linear, last, lock in self.dampers:
            if abs(potential[i] - lock) <= last:
                speed = moment[i] * rate
                push = -coefficient * (speed if linear else speed * abs(speed))
                amount[i] += push
                damped = damped + moment[i] * push
        total: Any = row.moment.dot(amount)
        if self.largest > 0:
            couple, binds = self._settle(row, amount, total)
            at_pins = row.spin.dot(couple)
            if binds is not None:
                at_pins = np.where(binds, BINDING * abs(total), at_pins)
            total, rubbed = total + at_pins, rubbed + at_pins
        return Moments(total, moment[self.turning] * turning, moment[self.air] * drag, rubbed, damped)

    def _settle(self, row: Row, amount: Floats, total: Any) -> tuple[Floats, Any]:
        """Friction couples (joints, conditions): pin forces depend on them directly and through the acceleration.

        And where they grow without end, None if nowhere: there the pins bind, whatever drives the gear.
        """
        base = row.force.dot(amount)
        base += row.hurry[:, None] * total if self.shape else row.hurry * total
        arm = self.radii * np.sign(row.spin)  # against a turn in the downward sense
        if self.shape:
            arm = arm[:, None]
        enough = SETTLED * self.largest * _greatest(np.abs(base))
        # few numbers, many rounds: what is allotted and looked up each time would cost more than the sums
        (force, fore, up, step), by_couple, couple, new = self.room, row.by_couple, *self.couples
        for _ in range(ROUNDS):
            by_couple.dot(couple, out=force)
            np.add(force, base, out=force)
            np.hypot(fore, up, out=new)
            np.multiply(new, arm, out=new)
            np.subtract(new, couple, out=step)
            couple, new = new, couple
            if _greatest(np.abs(step, out=step)) <= enough:
                self.couples = couple, new
                return couple, None
        again = np.dot(by_couple, couple) + base
        binds = np.abs(couple - arm * np.hypot(*np.split(again, 2))).max(axis=0) > enough
        self.couples = np.where(binds, 0.0, couple), new
        return self.couples[0], binds

    def stored(self, potential: Floats) -> Floats:
        """Energy of weight and springs in N mm, up to a constant, at `potentials` (sources, poses): (poses,), in
        one condition alone."""
        energy = potential[self.weight] * self.acting.weight
        for i, law, factor in zip(self.springs, self.faller.springs, self.acting.springs, strict=True):
            energy = energy + law.stored(potential[i]) * factor
        for i, entry in zip(self.ties, self.faller.study.gear.lock_spring, strict=True):
            energy = energy + tie_stored(entry, potential[i])
        return np.asarray(energy)
