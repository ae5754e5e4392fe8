"""Where everything of the gear is at some poses, quickly: one call of the kernel, then plain arithmetic."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.drafting.handles import Handle
from linkage.drawing.gear_scene import rim
from linkage.gear import BodyPoint, Gear, GearPart
from linkage.mechanism.model import GROUND, Complexes, Floats
from linkage.stroke import placed

ARC_STEPS = 16
"""Straight pieces of a half circle."""

CIRCLE = np.exp(1j * np.linspace(0.0, 2 * np.pi, 61))


@dataclass(frozen=True)
class Posed:
    """Shift (mm) and unit turn of every body at some poses: what is drawn at z lies at shift + turn*z."""

    bodies: Mapping[str, tuple[Complexes, Complexes]]

    def points(self, body: str, drawn: Any) -> Complexes:
        shift, turn = self.bodies[body]
        return np.asarray(shift + turn * drawn)

    def pin(self, point: BodyPoint) -> Complexes:
        return self.points(point.body, point.at)

    def core(self, part: GearPart, pose: int) -> Complexes:
        """Core points of a part at one pose."""
        moved = [self.bodies[p.body][0][pose] + self.bodies[p.body][1][pose] * p.at for p in part.core]
        return np.array(moved, dtype=np.complex128)

    def handle(self, handle: Handle, pose: int) -> complex:
        shift, turn = self.bodies[handle.body]
        return complex(shift[pose] + turn[pose] * handle.at)


def posed(gear: Gear, driven: Floats) -> Posed:
    """All bodies at driven rotations in rad, towards up."""
    return Posed(
        {GROUND: (np.zeros(len(driven), dtype=complex), np.ones(len(driven), dtype=complex))} | placed(gear, driven)
    )


def outline(part: GearPart, core: Complexes) -> NDArray[np.float64]:
    """Closed outline of a part whose core lies there, (k, 2) in mm."""
    if len(core) == 1:
        ring = core[0] + part.radius * CIRCLE
    elif len(core) == 2:
        ring = rim(core[0], core[1], part.radius, ARC_STEPS)
    elif part.radius == 0.0:
        ring = np.append(core, core[0])
    else:
        grown = shapely.Polygon(np.column_stack([core.real, core.imag])).buffer(part.radius)
        return np.asarray(shapely.get_coordinates(grown.exterior))
    return np.column_stack([ring.real, ring.imag])
