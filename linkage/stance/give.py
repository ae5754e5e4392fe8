"""Give of a strut or tyre: deflection in mm for a load in N, straight between the points of its curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.document.springs import Springiness

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Give:
    """``points``: rising (load N, deflection mm); ``rate`` in N/mm instead of them; ``stop``: deflection that ends it.

    Between the first and the last point a curve holds as given; past the last it is not known (see ``covers``) unless
    it ends on the stop.
    """

    name: str
    points: tuple[tuple[float, float], ...] = ()
    rate: float | None = None
    stop: float = np.inf

    def at(self, load: FloatArray) -> FloatArray:
        """Deflection, mm; none for a load below zero."""
        pressed = np.maximum(load, 0.0)
        if self.rate is not None:
            return np.asarray(np.minimum(pressed / self.rate, self.stop))
        loads, deflections = np.array(self.points).T
        return np.asarray(np.minimum(np.interp(pressed, loads, deflections), self.stop))

    @property
    def kinks(self) -> tuple[float, ...]:
        """Loads at which the rate changes, N."""
        if self.rate is not None:
            return (self.rate * self.stop,) if np.isfinite(self.stop) else ()
        return tuple(load for load, _ in self.points)

    def covers(self, load: float) -> bool:
        """Whether the load lies on the curve, or the strut is bottomed beyond it."""
        return self.rate is not None or load <= self.points[-1][0] or self.points[-1][1] >= self.stop


def give(name: str, entry: Springiness, stop: float = np.inf) -> Give:
    """From the document. ``stop`` in mm, such as the stroke of a strut."""
    return Give(name, entry.curve or (), entry.rate, stop)
