"""Emergency extension in time: the gear with one degree of freedom falls from its up-lock until it locks or stalls.

Equation of motion, with the exact reduced inertia M of the driven link and everything else as generalised force Q:
M(x) x'' + M'(x) x'^2 / 2 = Q(x, x'). The coordinate is the driven link, for which nothing is double-valued at the lock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linkage.actuation.conditions import Condition
from linkage.extension.faller import Faller, acting
from linkage.extension.forces import Fall
from linkage.extension.integrate import Course, Crossing, integrate
from linkage.extension.table import Table, inertia_at, potentials
from linkage.mechanism.model import Floats
from linkage.stroke import swing_at

RELATIVE, ABSOLUTE = 1e-7, 1e-9
"""Tolerances of the integrator; the energy balance of every run shows what they are worth."""

GRID = 181
"""Places at which corners of the forces are looked for."""

LONGEST = 60.0
"""s; a gear that takes longer crawls, and counts as stalled where it is."""


@dataclass(frozen=True)
class Extension:
    """One fall. Arrays over time: ``time`` s, ``driven`` rad, ``rate`` rad/s (down is negative), ``swing`` rad.

    Energies in J. ``stop``: place of the stall, (driven, swing) in rad, None where it locks. ``at_dead_centre``:
    kinetic energy left there, ``arrival``: where the leg first comes to its locked place, ``at_stop``: as the knee
    meets its stop; NaN where it does not come so far. ``arrival_speed``: of the axle in m/s if all energy of the
    arrival were the leg's. ``stop_rate``: driven rate at the stop, rad/s. ``work``: done on the gear by each loss and
    by the air, J. ``energy_error``: what the energy balance of the whole fall lacks, as part of the greatest kinetic
    energy, taken from exact positions and not from the table.
    """

    condition: Condition
    time: Floats
    driven: Floats
    rate: Floats
    swing: Floats
    kinetic: Floats
    stop: tuple[float, float] | None
    at_dead_centre: float
    arrival: float
    arrival_speed: float
    at_stop: float
    stop_rate: float
    work: dict[str, float]
    energy_error: float

    @property
    def locks(self) -> bool:
        return self.stop is None

    @property
    def duration(self) -> float:
        return float(self.time[-1])


def simulate(faller: Faller, table: Table, case: Condition) -> Extension:
    """Let the gear go at leg-up, at rest, in one condition."""
    fall = Fall(faller, acting(faller, [case]).alone(), table.sources)
    state = np.array([faller.stroke.driven_up, 0.0, 0.0, 0.0, 0.0])
    if fall.moments(table.at(state[0]), 0.0).total >= 0.0:
        return _still(faller, case)
    runs: list[tuple[Floats, Floats]] = []
    reached: dict[float, Floats] = {}
    time, step = 0.0, None
    for goal in sorted({*corners(faller, table), faller.first_contact}, reverse=True):  # at contact its energy is read
        found = _run(fall, table, time, state, goal, step)
        runs.append((found.time, found.state.T))
        if found.met != 0:
            break
        time, state, step = float(found.time[-1]), found.state[-1], float(np.diff(found.time)[-3:].min())
        reached[goal] = state
    return _result(faller, table, case, fall, runs, reached)


def corners(faller: Faller, table: Table) -> list[float]:
    """Driven rotations, falling to 0, at which the integration stops and starts again because a force has a corner: the
    dead centre, where the leg's pins turn back, and the places where a snubber takes hold."""
    places = {faller.stroke.dead_centre, 0.0}
    grid = np.linspace(faller.stroke.driven_up, 0.0, GRID)
    for damper in faller.entry.damper:
        if damper.last is None:
            continue
        at, lock = table.sources.index(damper.on), faller.lock_lengths[damper.on]
        left = np.array([abs(table.at(x).potential[at] - lock) - damper.last for x in grid])
        for i in np.flatnonzero(left[:-1] * left[1:] < 0):
            high, low = grid[i], grid[i + 1]
            for _ in range(40):
                mid = 0.5 * (high + low)
                outside = (abs(table.at(mid).potential[at] - lock) - damper.last) * left[i] > 0
                high, low = (mid, low) if outside else (high, mid)
            places.add(0.5 * (high + low))
    return sorted(places, reverse=True)


def _run(fall: Fall, table: Table, time: float, state: Floats, goal: float, step: float | None) -> Course:
    """Integrate until the driven link comes to ``goal`` (first crossing) or to rest (second).

    State: driven rotation, sqrt(inertia) x rate, work of air, friction and damping. The second is the root of twice the
    kinetic energy: it hardly changes while the knee whips through the dead centre and the rate rises tenfold.
    """

    def slope(now: float, y: Floats) -> list[float]:
        row = table.at(float(y[0]))
        root = math.sqrt(row.inertia)
        rate = min(float(y[1]), 0.0) / root
        m, watts = fall.moments(row, rate), 1e-3 * rate
        return [rate, (m.total - m.turning) / root, watts * m.air, watts * m.rubbed, watts * m.damped]

    ends = (Crossing(0, goal, rising=False), Crossing(1, 0.0, rising=True))
    return integrate(slope, time, state, ends, LONGEST, RELATIVE, ABSOLUTE, step)


def _result(
    faller: Faller,
    table: Table,
    case: Condition,
    fall: Fall,
    runs: list[tuple[Floats, Floats]],
    reached: dict[float, Floats],
) -> Extension:
    time = np.concatenate([runs[0][0][:1], *(t[1:] for t, _ in runs)])
    state = np.concatenate([runs[0][1][:, :1], *(y[:, 1:] for _, y in runs)], axis=1)
    inertia = inertia_at(faller, state[0])
    driven, rate = state[0], np.minimum(state[1], 0.0) / np.sqrt(inertia)
    kinetic = 5e-4 * inertia * rate**2
    stored = 1e-3 * fall.stored(potentials(faller, table.sources[: table.known], driven))
    balance = kinetic + stored - stored[0] - state[2:].sum(axis=0)
    locks = 0.0 in reached
    at_dead, arrival = (
        5e-4 * float(reached[x][1]) ** 2 if x in reached else math.nan
        for x in (faller.stroke.dead_centre, faller.first_contact)
    )
    reach = abs(faller.gear.pins["axle"].at - faller.gear.pins["trunnion"].at)
    swing = np.unwrap(swing_at(faller.gear, driven))
    return Extension(
        condition=case,
        time=time,
        driven=driven,
        rate=rate,
        swing=swing,
        kinetic=kinetic,
        stop=None if locks else (float(driven[-1]), float(swing[-1])),
        at_dead_centre=at_dead,
        arrival=arrival,
        arrival_speed=1e-3 * reach * (2e3 * arrival / faller.leg_inertia) ** 0.5,
        at_stop=float(kinetic[-1]) if locks else np.nan,
        stop_rate=float(rate[-1]) if locks else np.nan,
        work=dict(zip(("air", "friction", "damping"), map(float, state[2:, -1]), strict=True)),
        energy_error=float(np.max(np.abs(balance)) / max(float(np.max(kinetic)), 1e-12)),
    )


def _still(faller: Faller, case: Condition) -> Extension:
    """The gear does not leave its up-lock."""
    up, nan = faller.stroke.driven_up, float("nan")
    one, swing = np.array([0.0]), float(faller.stroke.swing[-1])
    return Extension(
        condition=case,
        time=one,
        driven=np.array([up]),
        rate=one,
        swing=np.array([swing]),
        kinetic=one,
        stop=(up, swing),
        at_dead_centre=nan,
        arrival=nan,
        arrival_speed=nan,
        at_stop=nan,
        stop_rate=nan,
        work={"air": 0.0, "friction": 0.0, "damping": 0.0},
        energy_error=0.0,
    )
