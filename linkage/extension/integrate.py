"""Ordinary differential equations in time, stopped exactly where one part of the state comes to a value.

The pair of orders 5 and 4 by Dormand and Prince (J. Comp. Appl. Math. 6 (1980) 19-26; coefficients from memory, their
order conditions tested), with the usual choice of step from the error of the lower order. Small on purpose: a command
that judges a gear should not wait for a library of integrators to load. Tests compare it with one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.mechanism.model import Floats

NODES = (0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0)
STAGES = tuple(
    np.array(row)
    for row in (
        (),
        (1 / 5,),
        (3 / 40, 9 / 40),
        (44 / 45, -56 / 15, 32 / 9),
        (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
        (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
    )
)
FIFTH = np.array((35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84))
FOURTH = np.array((5179 / 57600, 0.0, 7571 / 16695, 393 / 640, -92097 / 339200, 187 / 2100, 1 / 40))
LACK = np.append(FIFTH, 0.0) - FOURTH

SAFETY, SHRINK, GROW = 0.9, 0.2, 5.0
"""Of the step that the error allows; least and greatest factor from one step to the next."""

CUTS, CLOSE = 60, 1e-14
"""How often a step is cut to end on a crossing at most, and how near to it is enough, as part of what was crossed."""

Slope = Callable[[float, Floats], Sequence[float]]


@dataclass(frozen=True)
class Crossing:
    """Stop as ``state[part]`` falls (``rising`` False) or rises through ``value``."""

    part: int
    value: float
    rising: bool

    def left(self, state: Floats) -> float:
        """What is left to the crossing, positive before it."""
        return (self.value - float(state[self.part])) * (1.0 if self.rising else -1.0)


@dataclass(frozen=True)
class Course:
    """``time`` (n,) and ``state`` (n, parts) at every step; ``met``: which crossing ended it, None at the time limit.
    ``step``: what the error would have allowed next."""

    time: Floats
    state: Floats
    met: int | None
    step: float


def integrate(
    slope: Slope,
    time: float,
    state: Floats,
    crossings: Sequence[Crossing],
    longest: float,
    relative: float,
    absolute: float,
    step: float | None = None,
) -> Course:
    """From ``state`` until the first crossing or until ``longest``. A part of the state that begins on its crossing or
    beyond it does not count before it has come back. Errors of each step are held below absolute + relative x state.
    """
    times, states = [time], [np.asarray(state, dtype=np.float64)]
    rate = np.asarray(slope(time, states[0]), dtype=np.float64)
    step = _first_step(slope, time, states[0], rate, relative, absolute) if step is None else step
    met: int | None = None
    while met is None and times[-1] < longest:
        now, here = times[-1], states[-1]
        step = min(step, longest - now)
        new, last, lack = _step(slope, now, here, rate, step)
        size = absolute + relative * np.maximum(np.abs(here), np.abs(new))
        error = float(np.sqrt(np.mean((lack / size) ** 2)))
        factor = GROW if error == 0.0 else min(max(SAFETY * error**-0.2, SHRINK), GROW)
        if error > 1.0:
            step *= min(factor, 1.0)
            continue
        taken = step
        for i, crossing in enumerate(crossings):
            if crossing.left(here) > 0.0 >= crossing.left(new):
                met = i
                taken, new = _cut(slope, now, here, rate, taken, crossing)
        times.append(now + taken)
        states.append(new)
        rate, step = last, step * factor
    return Course(np.array(times), np.array(states), met, step)


def _step(slope: Slope, now: float, here: Floats, rate: Floats, step: float) -> tuple[Floats, Floats, Floats]:
    """State and slope at the end of a step, and how far the lower order is from it."""
    k = np.empty((7, len(here)))
    k[0] = rate
    for i in range(1, 6):
        k[i] = slope(now + NODES[i] * step, here + step * np.dot(STAGES[i], k[:i]))
    new = here + step * np.dot(FIFTH, k[:6])
    k[6] = slope(now + step, new)
    return new, k[6], step * np.dot(LACK, k)


def _cut(slope: Slope, now: float, here: Floats, rate: Floats, step: float, crossing: Crossing) -> tuple[float, Floats]:
    """A shorter step that ends on the crossing: Newton's method inside a bracket, each try a whole step."""
    sign = 1.0 if crossing.rising else -1.0
    enough = CLOSE * max(abs(crossing.value), crossing.left(here))
    low, high, tried = 0.0, step, step
    for _ in range(CUTS):
        state, last, _ = _step(slope, now, here, rate, tried)
        left = crossing.left(state)
        low, high = (tried, high) if left > 0.0 else (low, tried)
        if abs(left) <= enough or high - low <= 4e-16 * high:
            break
        closing = sign * float(last[crossing.part])
        better = tried + left / closing if closing > 0.0 else high
        tried = better if low < better < high else 0.5 * (low + high)
    return tried, state


def _first_step(slope: Slope, now: float, here: Floats, rate: Floats, relative: float, absolute: float) -> float:
    """From the slope and how it changes, as in Hairer, Norsett and Wanner, Solving ODE I, sect. II.4 (from memory)."""
    size = absolute + relative * np.abs(here)
    d0, d1 = (float(np.sqrt(np.mean((v / size) ** 2))) for v in (here, rate))
    guess = 1e-6 if min(d0, d1) < 1e-5 else 0.01 * d0 / d1
    there = np.asarray(slope(now + guess, here + guess * rate), dtype=np.float64)
    d2 = float(np.sqrt(np.mean(((there - rate) / size) ** 2))) / guess
    bend = max(1e-6, 1e-3 * guess) if max(d1, d2) <= 1e-15 else (0.01 / max(d1, d2)) ** 0.2
    return min(100.0 * guess, bend)
