"""The signs of technical drawing as plain line work, in mm of paper: arrows, dimensions, pins, springs, hatching.

Everything is geometry, not renderer patterns, so raster, SVG and PDF show the same, and hatching can stop short of a
text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from linkage.drawing.ink import Ink
from linkage.drawing.palette import Hatch

Segment = tuple[complex, ...]

ARROW_LENGTH, ARROW_HALF = 2.6, 0.42
"""A filled head of about 18 degrees, as ISO 129-1 has it."""

TAIL = 6.0
ROOM_FOR_ARROWS = 9.0
PIN_RADIUS = 0.9
PIN_REACH = 3.4


@dataclass(frozen=True)
class Marks:
    """Line work of one sign. ``thin`` and ``thick`` lines, ``solid`` filled outlines, ``open`` paper-filled ones."""

    thin: tuple[Segment, ...] = ()
    thick: tuple[Segment, ...] = ()
    solid: tuple[Segment, ...] = ()
    open: tuple[Segment, ...] = ()

    def lines(self) -> BaseGeometry:
        """Return all of it as one geometry, for the ink raster."""
        parts = [*self.thin, *self.thick, *(ring + ring[:1] for ring in (*self.solid, *self.open))]
        return MultiLineString([[(z.real, z.imag) for z in part] for part in parts])


def arrow(tip: complex, towards: complex) -> Segment:
    """Return an arrow head with its point at ``tip``, pointing along ``towards``."""
    u = towards / abs(towards)
    back = tip - ARROW_LENGTH * u
    return (tip, back + 1j * u * ARROW_HALF, back - 1j * u * ARROW_HALF)


def circle(centre: complex, radius: float, pieces: int = 40) -> Segment:
    """Return a circle as a ring of points (the last is not the first)."""
    return tuple(complex(z) for z in centre + radius * np.exp(2j * np.pi * np.arange(pieces) / pieces))


def pin(at: complex, fixed: bool) -> Marks:
    """A ring on a dash-dot cross; a pin on the airframe also stands on a small hatched base."""
    cross: list[Segment] = []
    for u in (1, 1j):
        for near, far in ((-PIN_REACH, -2.3), (-1.85, -1.65), (-1.2, 1.2), (1.65, 1.85), (2.3, PIN_REACH)):
            cross.append((at + near * u, at + far * u))
    ring = (circle(at, PIN_RADIUS),)
    if not fixed:
        return Marks(thin=tuple(cross), open=ring)
    left, right = at - 1.7 - 2.4j, at + 1.7 - 2.4j
    ticks = tuple((left + x, left + x - 0.9 - 0.9j) for x in (0.2, 1.2, 2.2, 3.2))
    legs = ((left, at - 0.6 - 0.7j), (right, at + 0.6 - 0.7j))
    return Marks(thin=(*cross[:5], cross[-3], cross[-1], *ticks, *legs), thick=((left - 0.4, right + 0.4),), open=ring)


def spring(a: complex, b: complex, half: float) -> Segment:
    """A coil in side view between two ends."""
    way = b - a
    length = abs(way)
    if length == 0:
        return (a, b)
    u = way / length
    turns = max(int(length * 0.7 / max(1.3 * half, 0.8)), 3)
    coil = [
        a + u * length * (0.15 + 0.7 * (k + 0.5) / turns) + 1j * u * half * (1 if k % 2 else -1) for k in range(turns)
    ]
    return (a, a + u * length * 0.15, *coil, a + u * length * 0.85, b)


def ground_ticks(points: Iterable[complex], spacing: float = 3.0, length: float = 1.8) -> tuple[Segment, ...]:
    """Short slanted lines under a ground line."""
    line = LineString([(z.real, z.imag) for z in points])
    steps = np.arange(spacing / 2, line.length, spacing)
    feet = shapely.get_coordinates(shapely.line_interpolate_point(line, steps))
    return tuple((complex(x, y), complex(x, y) - length * (0.7 + 0.7j)) for x, y in feet)


def hatching(geometry: BaseGeometry, hatch: Hatch) -> BaseGeometry:
    """Return the hatch lines inside a geometry. All hatches share one origin, so neighbours line up."""
    if geometry.is_empty:
        return MultiLineString()
    angles = (hatch.angle_deg, hatch.angle_deg + 90) if hatch.crossed else (hatch.angle_deg,)
    lines = [line for angle in angles for line in _rulings(geometry.bounds, angle, hatch.spacing)]
    return shapely.intersection(MultiLineString(lines), geometry)


def _rulings(bounds: tuple[float, ...], angle_deg: float, spacing: float) -> list[list[tuple[float, float]]]:
    x0, y0, x1, y1 = bounds
    u = complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
    corners = np.array([complex(x0, y0), complex(x1, y0), complex(x0, y1), complex(x1, y1)]) / u
    rows = np.arange(math.floor(corners.imag.min() / spacing), math.ceil(corners.imag.max() / spacing) + 1) * spacing
    ends = ((complex(corners.real.min(), row) * u, complex(corners.real.max(), row) * u) for row in rows)
    return [[(a.real, a.imag), (b.real, b.imag)] for a, b in ends]


@dataclass(frozen=True)
class DimensionLayout:
    """A dimension on paper and the places where its text explains itself."""

    marks: Marks
    anchors: tuple[complex, ...]


def dimension(a: complex, b: complex, offset: float | None, ink: Ink) -> DimensionLayout:
    """Lay out a dimension between two places on paper; see ``scene.Dimension`` for ``offset``."""
    length = abs(b - a)
    u = (b - a) / length if length > 1e-9 else 1 + 0j
    if offset is None:
        offset = _free_offset(a, b, ink) if length >= ROOM_FOR_ARROWS or _on_a_line(a, b, ink) else 0.0
    shift = 1j * u * offset
    p, q = a + shift, b + shift
    away = 1j * u * math.copysign(1.0, offset)
    ends = ((a + 0.8 * away, p + 1.6 * away), (b + 0.8 * away, q + 1.6 * away)) if abs(offset) > 0.8 else ()
    if length >= ROOM_FOR_ARROWS:
        return DimensionLayout(
            Marks(thin=(*ends, (p, q)), solid=(arrow(p, -u), arrow(q, u))),
            tuple(p + (q - p) * t for t in (0.5, 0.3, 0.7)),
        )
    # Too short for arrows between its ends: they point at it from outside.
    lines = ((p - TAIL * u, p), (p, q), (q, q + TAIL * u))
    return DimensionLayout(
        Marks(thin=(*ends, *lines), solid=(arrow(p, u), arrow(q, -u))), (p - TAIL * u, q + TAIL * u, (p + q) / 2)
    )


def _on_a_line(a: complex, b: complex, ink: Ink) -> bool:
    """Tell whether a distance is measured along something drawn, the ground for instance, and would vanish in it."""
    if abs(b - a) < 3.0:
        return False
    return float(np.minimum(ink.lines[ink.along(LineString([(a.real, a.imag), (b.real, b.imag)]))], 1.0).mean()) > 0.8


def _free_offset(a: complex, b: complex, ink: Ink) -> float:
    """Return the sideways shift (mm of paper) at which the dimension line runs over the least other line work."""
    u = (b - a) / abs(b - a)

    def cost(offset: float) -> float:
        p, q = a + 1j * u * offset, b + 1j * u * offset
        inside = all(2 < z.real < ink.width - 2 and 2 < z.imag < ink.height - 2 for z in (p, q))
        line = ink.along(LineString([(p.real, p.imag), (q.real, q.imag)]), 3)
        return float((ink.lines[line] + 0.3 * ink.fills[line]).sum()) + 0.4 * abs(offset) + (0 if inside else 1e6)

    return min((s * d for d in (8.0, 12.0, 17.0, 23.0, 30.0) for s in (1, -1)), key=cost)
