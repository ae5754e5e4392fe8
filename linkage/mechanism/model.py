"""A planar mechanism as drawn: bodies joined by pins and slides, one of them driven.

Everything is drawn in one reference position. Points are complex numbers; a point may be an array of shape (designs,)
to describe many variants at once. The body that does not move is called `GROUND`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

GROUND = "ground"
Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]
Drawn = complex | Complexes
"""One drawn point or direction, or one per design."""


@dataclass(frozen=True)
class Pin:
    """Joint that lets ``b`` turn on ``a`` about the point drawn ``at``."""

    name: str
    a: str
    b: str
    at: Drawn


@dataclass(frozen=True)
class Slide:
    """Joint that lets ``b`` slide on ``a`` along the direction ``along`` through ``at`` (axis fixed on ``a``)."""

    name: str
    a: str
    b: str
    at: Drawn
    along: Drawn

    def __post_init__(self) -> None:
        if not np.all(np.abs(self.along)):
            raise ValueError(f"slide {self.name!r}: along={self.along!r} has no direction")


Joint = Pin | Slide


@dataclass(frozen=True)
class Mechanism:
    """Joints and the name of the driven one, which joins `GROUND` (as ``a``) to the driven body.

    The coordinate of the mechanism is the travel of the driven joint from the drawn position: radians anticlockwise for
    a pin, length units along its direction for a slide.
    """

    joints: tuple[Joint, ...]
    driver: str

    def __post_init__(self) -> None:
        names = [j.name for j in self.joints]
        if len(set(names)) != len(names):
            raise ValueError(f"joint names must differ: {names}")
        for j in self.joints:
            if j.a == j.b:
                raise ValueError(f"joint {j.name!r} joins {j.a!r} to itself")
        if self.driver not in names:
            raise ValueError(f"driver={self.driver!r} is no joint; there are {names}")
        if self.joint(self.driver).a != GROUND:
            raise ValueError(f"driver={self.driver!r} must join {GROUND!r} (as a) to the driven body")
        counts = {len(z) for z in self._drawn() if len(z) > 1}
        if len(counts) > 1:
            raise ValueError(f"joints are drawn for different numbers of designs: {sorted(counts)}")

    @property
    def bodies(self) -> tuple[str, ...]:
        """Moving bodies in the order in which they are first named."""
        return tuple(dict.fromkeys(b for j in self.joints for b in (j.a, j.b) if b != GROUND))

    @cached_property
    def designs(self) -> int:
        """How many variants are drawn at once."""
        return max(len(z) for z in self._drawn())

    def joint(self, name: str) -> Joint:
        for joint in self.joints:
            if joint.name == name:
                return joint
        raise KeyError(f"no joint {name!r}; there are {[j.name for j in self.joints]}")

    @property
    def mobility(self) -> int:
        """Degrees of freedom left by counting: three a body less two a joint."""
        return 3 * len(self.bodies) - 2 * len(self.joints)

    def _drawn(self) -> list[Complexes]:
        return [column(d) for j in self.joints for d in ((j.at,) if isinstance(j, Pin) else (j.at, j.along))]


def column(value: Any) -> Complexes:
    """Shape (designs, 1), ready to meet arrays of (designs, poses); a column stays as it is."""
    points = np.asarray(value, dtype=np.complex128)
    return points if points.ndim == 2 else points.reshape(-1, 1)
