"""Bending, shear, thrust and torque along the leg, from what acts below each cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.loads.statics import PointLoad, Vec, space

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LegLoads:
    """Arrays over ``station``, mm down the leg from the trunnion; the lug stands twice, ``place`` says which side.

    N and N mm, of the part below on the part above: ``axial`` compression +, ``shear_aft`` aft +, ``shear_side``
    right +,
    ``bend_aft`` + where the wheel is pushed aft, ``bend_side`` + where it is pushed right, ``torque`` + where a push to
    the right acts behind the leg line. All straight between neighbouring stations, so these are all there is to know.
    """

    station: Floats
    place: tuple[str, ...]
    axial: Floats
    shear_aft: Floats
    shear_side: Floats
    bend_aft: Floats
    bend_side: Floats
    torque: Floats

    @property
    def bend(self) -> Floats:
        """Resultant bending moment."""
        return np.hypot(self.bend_aft, self.bend_side)

    @property
    def shear(self) -> Floats:
        """Resultant shear."""
        return np.hypot(self.shear_aft, self.shear_side)


@dataclass(frozen=True)
class LegLine:
    """Leg axes: the trunnion, ``down`` the leg and ``aft`` of it in the side view, and where it is cut.

    ``lug``: station of the lug; ``stations``: further cuts of the study.
    """

    trunnion: complex
    down: complex
    aft: complex
    lug: float
    stations: tuple[float, ...]


def leg_loads(line: LegLine, end: float, applied: Sequence[PointLoad], brace: PointLoad) -> LegLoads:
    """``applied`` enters at the lower ``end`` (axle station, mm), ``brace`` at the lug."""
    cuts = [(s, "") for s in line.stations if s < end]
    named = {(0.0, "trunnion"), (line.lug, "above lug"), (line.lug, "below lug"), (end, "axle")}
    taken = {s for s, _ in named}
    rows = sorted([*named, *(c for c in cuts if c[0] not in taken)], key=lambda row: (row[0], row[1]))
    station = np.array([s for s, _ in rows])
    with_lug = np.array([s < line.lug or place == "above lug" for s, place in rows])
    points = space(line.trunnion) + station[:, None] * space(line.down)
    force, moment = np.zeros_like(points), np.zeros_like(points)
    for load, acts in [*((load, np.ones(len(rows), dtype=bool)) for load in applied), (brace, with_lug)]:
        force[acts] += load.force
        moment[acts] += np.cross(load.at - points[acts], load.force) + load.couple
    down, aft = space(line.down), space(line.aft)
    return LegLoads(
        station,
        tuple(place for _, place in rows),
        _along(-force, down),
        _along(force, aft),
        force[:, 1],
        -moment[:, 1],
        _along(moment, aft),
        _along(-moment, down),
    )


def _along(vectors: Vec, unit: Vec) -> Floats:
    return np.asarray(vectors @ unit)
