"""The drawing area as a piece of paper: where a point of the aircraft lies on it, and what shape an item has there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from linkage.drawing.scene import Bar, Disc, Item, Path, Region

ARC_STEPS = 32
"""Straight pieces per quarter circle: 0.01 mm off the true circle on A3 for the largest wheel of the demo."""


@dataclass(frozen=True)
class Paper:
    """Lower left corner (mm of aircraft), mm of aircraft per mm of paper, and size (mm of paper)."""

    origin: complex
    scale: float
    width: float
    height: float

    def on_paper(self, geometry: BaseGeometry) -> BaseGeometry:
        """Move a geometry from aircraft to paper and cut it at the edges."""
        moved = shapely.transform(geometry, lambda xy: (xy - (self.origin.real, self.origin.imag)) / self.scale)
        return shapely.clip_by_rect(moved, 0.0, 0.0, self.width, self.height)

    def place(self, z: complex) -> complex:
        """Return where an aircraft point lies on paper."""
        return (z - self.origin) / self.scale

    def aircraft(self, z: complex) -> complex:
        """Return the aircraft point of a place on paper."""
        return self.origin + z * self.scale

    def holds(self, z: complex) -> bool:
        """Tell whether an aircraft point lies on the paper."""
        p = self.place(z)
        return 0 <= p.real <= self.width and 0 <= p.imag <= self.height


def shape_of(item: Item) -> BaseGeometry | None:
    """Return the shape of an item in aircraft mm, None for pin marks and remarks."""
    match item:
        case Path(closed=True):
            return sound(Polygon(_xy(item.points)))
        case Path():
            return LineString(_xy(item.points))
        case Disc():
            return Point(item.centre.real, item.centre.imag).buffer(item.radius, quad_segs=ARC_STEPS)
        case Bar():
            ends = [item.a, item.b] if item.a != item.b else [item.a, item.a + 1e-9]
            return LineString(_xy(ends)).buffer(item.radius, quad_segs=ARC_STEPS)
        case Region():
            return None if item.geometry.is_empty else item.geometry
    return None


def sound(geometry: BaseGeometry) -> BaseGeometry:
    """Repair what GEOS would refuse to cut (a self-crossing outline is still drawn as given)."""
    return geometry if geometry.is_valid else shapely.make_valid(geometry)


def _xy(points: object) -> np.ndarray:
    z = np.asarray(points, dtype=complex)
    return np.column_stack([z.real, z.imag])
