"""The same fall along the way instead of in time: kinetic energy over driven rotation, many conditions side by side.

dE/dx = Q(x, x'), with x' from E: no time, no acceleration, no table. It is the second road to the simulation, and quick
enough to search for the highest speed at which the gear still locks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from linkage.actuation.conditions import Condition
from linkage.extension.faller import Faller, acting
from linkage.extension.forces import Fall
from linkage.extension.table import Row, exact_rows
from linkage.mechanism.model import Floats

LONG, SHORT = 80, 48
"""Steps over the stroke and around the dead centre: fourth order, so a millionth of the energy is left."""


TINY = 1e-12
"""J; keeps a gear that just stands still on the side of those that stall."""

NEAR = 4.0
"""How far the short steps reach, in driven rotations of the dead centre."""


@dataclass(frozen=True)
class Path:
    """Exact unit forces at the ends and the middle of every step, from leg-up to the lock."""

    driven: Floats
    rows: tuple[Row, ...]
    sources: tuple[str, ...]
    dead_centre: float


def path(faller: Faller, long: int = LONG, short: int = SHORT) -> Path:
    ends = grid(faller, long, short * max(len(faller.stroke.dead_centres), 1))[::-1]
    driven = np.empty(2 * len(ends) - 1)
    driven[::2], driven[1::2] = ends, 0.5 * (ends[:-1] + ends[1:])
    rows, sources = exact_rows(faller, driven)
    return Path(driven, tuple(rows), sources, faller.stroke.dead_centre)


def grid(faller: Faller, long: int, short: int) -> Floats:
    """Driven rotations from the lock to leg-up, close together around the dead centre, where all is steep."""
    near, up = NEAR * faller.stroke.dead_centre, faller.stroke.driven_up
    if not 0 < near < up:
        return np.linspace(0.0, up, long + short + 1)
    return np.concatenate([np.linspace(0.0, near, short + 1), np.linspace(near, up, long + 1)[1:]])


def energies(faller: Faller, way: Path, cases: Sequence[Condition]) -> Floats:
    """Kinetic energy in J at every end of a step, (steps + 1, conditions), from rest at leg-up.

    Below zero the gear has stalled; from there on the number says how much energy a slow push from outside would have
    to bring.
    """
    fall = Fall(faller, acting(faller, cases), way.sources)

    def slope(row: Row, energy: Floats) -> Floats:
        rate = -np.sqrt(2.0 * np.maximum(energy, 0.0) / row.inertia)
        m = fall.moments(row, rate)
        return np.asarray(m.total - m.turning)

    energy = np.zeros(len(cases))
    out = [energy]
    for i in range(0, len(way.rows) - 2, 2):
        first, middle, last = way.rows[i : i + 3]
        step = way.driven[i + 2] - way.driven[i]
        a = slope(first, energy)
        b = slope(middle, energy + 0.5 * step * a)
        c = slope(middle, energy + 0.5 * step * b)
        d = slope(last, energy + step * c)
        energy = energy + step / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        out.append(energy)
    return 1e-3 * np.array(out)


def reserve(way: Path, energy: Floats) -> Floats:
    """Kinetic energy left at the dead centre in J (conditions,); where the gear stalls before the lock, the most that
    it lacks on the way, negative."""
    least = energy[1:].min(axis=0)
    at_dead = energy[np.argmin(np.abs(way.driven[::2] - way.dead_centre))]
    return np.asarray(np.where(least <= 0, np.minimum(least, -TINY), at_dead))


def durations(way: Path, energy: Floats) -> Floats:
    """About how long each fall takes, s (conditions,): to rank them, the simulation has the truth."""
    inertia = np.array([row.inertia for row in way.rows[::2]])[:, None]
    rate = np.sqrt(2e3 * np.maximum(energy, TINY) / inertia)
    steps = -np.diff(way.driven[::2])[:, None]
    return np.asarray((2.0 * steps / (rate[1:] + rate[:-1])).sum(axis=0))
