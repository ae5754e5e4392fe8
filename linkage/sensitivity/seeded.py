"""The study and its gear with a derivative in every number, and the poses of the moving gear with theirs.

The closed forms of the lock (`linkage.gear.shape`) run unchanged on `linkage.plane.duals`; how the moving gear answers
is solved from the differentiated loop equations (`linkage.mechanism.derivatives`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.gear import LEG, BodyPoint, Gear, build
from linkage.mechanism.derivatives import Change, Slopes, slopes
from linkage.mechanism.model import Floats, Slide
from linkage.mechanism.motion import Motion
from linkage.plane.duals import Dual, slope_of, value_of
from linkage.sensitivity.dimensions import Dimension
from linkage.stroke import motion_at


@dataclass(frozen=True)
class Seeded:
    """``study`` and ``gear`` hold numbers with slopes by every dimension, ``plain`` is the gear without. ``shifts``: of
    each bay item, as a plane vector of no length with slopes."""

    dimensions: tuple[Dimension, ...]
    study: Study
    gear: Gear
    plain: Gear
    changes: dict[str, Change]
    shifts: tuple[Dual, ...]

    @property
    def inputs(self) -> int:
        return len(self.dimensions)


def seeded(study: Study, plain: Gear, dims: tuple[Dimension, ...]) -> Seeded:
    """Slopes are by one inside unit (mm, kg, N, deg) of each dimension."""
    count = len(dims)
    eye = np.eye(count)
    numbers = {d.path: Dual(d.value, eye[i]) for i, d in enumerate(dims) if d.path is not None}
    with_slopes = varied(study, numbers)
    gear = build(with_slopes)
    changes = {
        j.name: Change(slope_of(j.at, count), slope_of(j.along, count) if isinstance(j, Slide) else None)
        for j in gear.mechanism.joints
    }
    shifts = tuple(
        Dual(0j, np.array([d.shift if d.item == i else 0j for d in dims])) for i in range(len(study.bay.item))
    )
    return Seeded(dims, with_slopes, gear, plain, changes, shifts)


@dataclass(frozen=True)
class Poses:
    """Places of the moving gear with slopes. ``pace``: slope of the driven value itself, (poses, inputs)."""

    motion: Motion
    slopes: Slopes
    pace: Floats

    def point(self, p: BodyPoint) -> Dual:
        """Place of a point of the gear with slopes: (poses,)."""
        z, change = value_of(p.at), slope_of(p.at, self.slopes.inputs)
        along = self.motion.velocity(p.body, z)[0]
        return self._dual(self.motion.point(p.body, z)[0], self.slopes.point(p.body, z, change), along)

    def velocity(self, p: BodyPoint) -> Dual:
        """Its derivative by the mechanism's own driven value."""
        z, change = value_of(p.at), slope_of(p.at, self.slopes.inputs)
        along = self.motion.acceleration(p.body, z)[0]
        return self._dual(self.motion.velocity(p.body, z)[0], self.slopes.velocity(p.body, z, change), along)

    def turned(self, body: str) -> Floats:
        """Slope of the body's angle: (poses, inputs), rad."""
        return np.asarray(self.slopes.pose[body][1][:, 0].T + self.motion.spin(body)[0][:, None] * self.pace)

    def _dual(self, value: Any, held: Any, along: Any) -> Dual:
        fixed = np.broadcast_to(held, (self.slopes.inputs, 1, len(value)))[:, 0].T
        return Dual(value, fixed + along[:, None] * self.pace)


def poses(s: Seeded, driven: Sequence[float] | Floats, pace: Floats | None = None) -> Poses:
    """At driven rotations towards up, rad, whose own slopes are ``pace`` (poses, inputs); left out, they stay."""
    where = np.asarray(driven, dtype=np.float64)
    motion = motion_at(s.plain, where, 2)
    found = slopes(s.plain.mechanism, motion, s.changes)
    turn = np.zeros((len(where), s.inputs)) if pace is None else s.plain.drive_sense * pace
    return Poses(motion, found, turn)


def end_pace(s: Seeded, up: float) -> Floats:
    """Slope of the driven rotation with the leg up, (inputs,): the leg's swing there is held at its wanted value."""
    at = poses(s, [up])
    held = slope_of(s.gear.swing_up, s.inputs) - s.plain.leg_sense * at.turned(LEG)[0]
    spin = float(at.motion.spin(LEG)[0, 0]) * s.plain.leg_sense * s.plain.drive_sense
    return np.asarray(held / spin)
