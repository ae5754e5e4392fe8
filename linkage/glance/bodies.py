"""Cores of all slices of the gear at once, at any driven rotations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.gear import LEG, Gear, GearPart
from linkage.glance.pairs import Indices
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import tracer
from linkage.plane.outlines import shapes_of


@dataclass(frozen=True)
class Poses:
    """``driven`` and, as `linkage.stroke.swing_at` has it, ``swing`` in rad (poses,); ``core``: (slices, poses,
    corners), FS + 1j*WL in mm; corners that a core lacks repeat its first one."""

    driven: Floats
    swing: Floats
    core: Complexes


class Bodies:
    """Cores of all slices at driven rotations."""

    def __init__(self, gear: Gear, slices: Sequence[GearPart]) -> None:
        self.gear, self.slices, self.trunnion = gear, slices, gear.pins["trunnion"].at
        points = list(dict.fromkeys((p.body, p.at) for s in slices for p in s.core))
        most = max(len(s.core) for s in slices)
        self.forms = list(dict.fromkeys((len(s.core), s.closed) for s in slices))
        self.kinds = np.array([self.forms.index((len(s.core), s.closed)) for s in slices])
        place = {point: i for i, point in enumerate(points)}
        rows = [[place[p.body, p.at] for p in s.core] for s in slices]
        self.rows = np.array([r + r[:1] * (most - len(r)) for r in rows])
        self.places = tracer(gear.plan, [*points, (LEG, self.trunnion + gear.down)])

    def at(self, driven: Floats) -> Poses:
        gear = self.gear
        traced = self.places(gear.drive_sense * driven)[:, 0, :]
        swing = gear.leg_sense * np.angle((traced[-1] - self.trunnion) / gear.down)
        return Poses(driven, np.asarray(swing), np.swapaxes(traced[self.rows], 1, 2))

    def shapes(self, which: Indices, pose: Indices, core: Complexes) -> NDArray[Any]:
        """Geometries (n,) of slices at poses of ``core``."""
        out, kinds = np.empty(len(which), dtype=object), self.kinds[which]
        for k, (corners, closed) in enumerate(self.forms):
            rows = np.flatnonzero(kinds == k)
            if len(rows):
                out[rows] = shapes_of(core[which[rows], pose[rows], :corners], closed)
        return out
