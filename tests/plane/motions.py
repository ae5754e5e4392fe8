"""Random smooth rigid motions with an exact bound of their acceleration, and exact poses of outlines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Moving:
    """core (m,) mm moved over the parameter 0..1; `acceleration`: exact bound for every point of the core."""

    core: Complexes
    closed: bool
    at: Callable[[Floats], Complexes]
    acceleration: float

    def slack(self, lo: Floats, hi: Floats) -> Floats:
        return (np.asarray(hi) - np.asarray(lo)) ** 2 / 8 * self.acceleration


def random_core(rng: np.random.Generator, size: float) -> tuple[Complexes, bool]:
    """A point, a segment, or a star-shaped outline of 3 to 13 points around the origin."""
    m = int(rng.choice([1, 2, rng.integers(3, 14)]))
    if m < 3:
        return size * (rng.normal(size=m) + 1j * rng.normal(size=m)), False
    angles = 2 * np.pi * (np.arange(m) + rng.uniform(0.0, 0.6, m)) / m
    return size * rng.uniform(0.15, 1.0, m) * np.exp(1j * angles), True


def random_motion(rng: np.random.Generator, core: Complexes, closed: bool, size: float) -> Moving:
    """Turn and shift are sums of sines, so the greatest acceleration is bounded by the sums of their amplitudes."""
    core = core + size * rng.normal() * rng.integers(0, 3)
    rate, turn, turn_phase = rng.uniform(0.3, 6, 3), rng.normal(size=3) * rng.choice([0, 0.3, 1]), rng.uniform(0, 6, 3)
    beat, phase = rng.uniform(0.3, 6, 2), rng.uniform(0, 6, 2)
    shift = (rng.normal(size=2) + 1j * rng.normal(size=2)) * size * rng.choice([0, 0.1, 1])

    def at(t: Floats) -> Complexes:
        theta = (turn * np.sin(np.multiply.outer(t, rate) + turn_phase)).sum(-1)
        moved = (shift * np.sin(np.multiply.outer(t, beat) + phase)).sum(-1)
        return moved[:, None] + np.exp(1j * theta)[:, None] * core

    spin, spin_rate = (np.abs(turn) * rate).sum(), (np.abs(turn) * rate**2).sum()
    acceleration = np.abs(core).max() * (spin_rate + spin**2) + (np.abs(shift) * beat**2).sum()
    return Moving(core, closed, at, float(acceleration))
