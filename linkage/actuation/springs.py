"""Force and stored energy of gas springs and coil springs over their length.

Gas: pressure times volume stays the same in a slow stroke (Boyle), so 1/force is linear in the length; at constant
volume the force follows the absolute temperature (Gay-Lussac). A spring that has aged pushes ``health`` of its force.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.drive import LockSpring
from linkage.document.gear import Spring

ZERO_C = 273.15
"""K, exact."""


@dataclass(frozen=True)
class SpringLaw:
    """Push in N over length in mm: 1 / (a + b L) for a gas spring, a + b L for a straight line."""

    a: float
    b: float
    gas: bool

    def force(self, length: Any) -> Any:
        line = self.a + self.b * length
        return 1.0 / line if self.gas else line

    def stored(self, length: Any) -> Any:
        """Energy in N mm that it gives while it grows from this length to zero of the scale: minus the integral of
        force."""
        if not self.gas:
            return -length * (self.a + 0.5 * self.b * length)
        if self.b == 0.0:
            return -length / self.a
        return -np.log(self.a + self.b * length) / self.b


def spring_law(entry: Spring, longest: Any, shortest: Any) -> SpringLaw:
    """The law through the entry's two forces, at its own temperature, new. Lengths in mm as the stroke has them; arrays
    of them, of a family of gears, give the laws of all at once."""
    gas = entry.law == "gas"
    far, near = entry.force_extended, entry.force_compressed
    if gas:
        far, near = 1.0 / far, 1.0 / near
    span = longest - shortest
    if np.ndim(span):
        span = np.where(span > 0, span, np.inf)
    slope = (far - near) / span if np.ndim(span) or span > 0 else 0.0
    return SpringLaw(near - slope * shortest, slope, gas)


def state_factor(entry: Spring, temperature_c: float, health: float) -> float:
    """Part of its new force at that temperature (deg C) and health (0 to 1). The straight line knows no temperature."""
    warmth = (temperature_c + ZERO_C) / (entry.temperature_c + ZERO_C) if entry.law == "gas" else 1.0
    return warmth * health


def tie_pull(entry: LockSpring, length: Any) -> Any:
    """Pull in N of a coil spring at this length in mm, nothing where it is slack."""
    over = length - entry.free_length
    return np.where(over > 0, (entry.preload or 0.0) + entry.rate * over, 0.0)


def tie_stored(entry: LockSpring, length: Any) -> Any:
    """Energy in N mm."""
    over = np.maximum(length - entry.free_length, 0.0)
    return over * ((entry.preload or 0.0) + 0.5 * entry.rate * over)
