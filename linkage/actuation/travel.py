"""Where the centre of gravity goes while the gear moves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.gear import Gear
from linkage.loading import CgRange, LoadModel, cg_range
from linkage.mechanism.model import Complexes
from linkage.stroke import Stroke


@dataclass(frozen=True)
class CgTravel:
    """``shift``: sum of mass times displacement from the lock, kg mm, FS + 1j*WL, over the poses of the stroke.

    ``forward`` and ``aft``: poses at which it reaches furthest, and ``forward_range``, ``aft_range``: the CG of every
    loading there, as for an aircraft whose gear stays at that place.
    """

    shift: Complexes
    forward: int
    aft: int
    forward_range: CgRange
    aft_range: CgRange

    def at_mass(self, mass: float) -> Complexes:
        """Shift in mm of the CG of an aircraft of that mass in kg."""
        return np.asarray(self.shift / mass)


def cg_travel(model: LoadModel, gear: Gear, stroke: Stroke) -> CgTravel:
    """``model``: every loading with the gear down."""
    shift = np.zeros(len(stroke.driven), dtype=np.complex128)
    for m in gear.masses:
        way = stroke.motion.point(m.at.body, m.at.at)[0]
        shift += m.kg * (way - way[0])
    forward, aft = int(np.argmin(shift.real)), int(np.argmax(shift.real))
    ranges = (cg_range(model.gear_moved(complex(shift[i]))) for i in (forward, aft))
    return CgTravel(shift, forward, aft, *ranges)
