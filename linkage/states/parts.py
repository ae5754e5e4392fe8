"""Parts of the gear in a state, never smaller than the truth: tyre, strut, wheel off centre, play, open doors.

All of it happens to the core of a part as drawn, in the axes of the leg, so a part stays a core grown by a disc.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from linkage.document.airframe import Tyre
from linkage.errors import MechanismError
from linkage.gear import LEG, BodyPoint, Gear, GearPart
from linkage.mechanism.model import GROUND
from linkage.plane.vectors import cross, dot
from linkage.tyres import grown

FLAT = 1e-6
"""mm. A hull narrower than this is taken as a line, and its width added to the disc that grows it."""

STRUT_STEPS = 32
"""Pieces of a range of compressions, for a part that moves with the strut at one end only."""


def tyre_size(tyre: Tyre, state: str) -> tuple[float, float]:
    """Radius and width of the tyre, mm. A grown size that the study leaves out is that of the growth formula
    (`linkage.tyres.grown`); a flat tyre has the grown width."""
    if state == "new":
        return tyre.outside_diameter / 2, tyre.width
    formula = grown(tyre.outside_diameter, tyre.width, tyre.rim_diameter)
    diameter, width = tyre.grown_diameter or formula.diameter, tyre.grown_width or formula.width
    return (diameter / 2 if state == "grown" else tyre.flat_radius or 0.0), width


def with_tyre(part: GearPart, radius: float, width: float) -> GearPart:
    """A tyre part with the radius and width of its state, about its own middle butt line. Slices keep their shape."""
    low, high = min(a for a, _ in part.butt_lines), max(b for _, b in part.butt_lines)
    middle, wider, larger = (low + high) / 2, width / (high - low), radius / part.radius
    sections = tuple(
        ((middle + (a - middle) * wider, middle + (b - middle) * wider), r * larger) for (a, b), r in part.sections
    )
    return replace(part, radius=radius, butt_lines=((middle - width / 2, middle + width / 2),), sections=sections)


def turned(part: GearPart, gear: Gear, angle: float) -> GearPart:
    """Everything the part reaches turned by up to ``angle`` (rad, below a quarter turn) to both sides of the leg line.

    A point at ``offset`` from the leg line and ``lateral`` from its plane comes to offset*cos - lateral*sin and
    offset*sin + lateral*cos. So sideways it reaches the largest of that (closed form), and in the side view every core
    point strays by no more than lateral*sin(angle) + offset*(1 - cos(angle)) along the offset; the disc about it only
    gets narrower. The butt lines are exact, the side view is outer.
    """
    if any(p.body != LEG for p in part.core):
        raise MechanismError(f"{part.name}: a part that turns with the wheel has all its points on the leg")
    trunnion = gear.pins["trunnion"].at
    offsets = [dot(p.at - trunnion, gear.aft) for p in part.core]
    reach = max(abs(o) for o in offsets) + part.radius
    lines = tuple((-_widest(reach, -a, angle), _widest(reach, b, angle)) for a, b in part.butt_lines)
    aside = max(abs(v) for pair in part.butt_lines for v in pair)
    stray = aside * math.sin(angle) + max(abs(o) for o in offsets) * (1.0 - math.cos(angle))
    return replace(_smeared(part, -stray * gear.aft, stray * gear.aft), butt_lines=lines)


def _widest(reach: float, half: float, angle: float) -> float:
    """Largest of reach*sin(t) + half*cos(t) for t from 0 to ``angle``, up to a quarter turn."""
    top = math.atan2(reach, half)
    return math.hypot(reach, half) if top <= angle else reach * math.sin(angle) + half * math.cos(angle)


def pressed(part: GearPart, gear: Gear, least: float, most: float) -> tuple[GearPart, ...]:
    """The part with the strut at every compression from ``least`` to ``most``, mm.

    A part on the leg alone is covered by one (exactly, if its core is convex). One that joins the leg with another body
    is covered by some at compressions between, each grown by the way to the next.
    """
    if not part.on_piston or most == 0.0:
        return (part,)
    if least == most:
        return (_lifted(part, gear, least),)
    if all(p.body == LEG for p in part.core):
        return (_smeared(part, -least * gear.down, -most * gear.down),)
    marks = np.linspace(least, most, STRUT_STEPS + 1)
    step = float(marks[1] - marks[0])
    return tuple(replace(_lifted(part, gear, float(c)), radius=part.radius + step / 2) for c in marks)


def _lifted(part: GearPart, gear: Gear, compression: float) -> GearPart:
    lift = -compression * gear.down
    return replace(part, core=tuple(BodyPoint(p.body, p.at + lift) if p.body == LEG else p for p in part.core))


def _smeared(part: GearPart, one: complex, other: complex) -> GearPart:
    """The part at every shift from ``one`` to ``other``: the hull of its core at both."""
    core, loose = hull_core([p.at + shift for shift in (one, other) for p in part.core])
    body = part.core[0].body
    return replace(part, core=tuple(BodyPoint(body, z) for z in core), closed=len(core) > 2, radius=part.radius + loose)


def hull_core(points: Sequence[complex]) -> tuple[list[complex], float]:
    """Corners of the convex hull; two where it is a line, one where it is a point, and by how much (mm) the disc about
    them must then grow to hold all points."""
    z = np.array(points)
    ends = np.unravel_index(np.argmax(np.abs(z[:, None] - z[None, :])), (len(z), len(z)))
    start, end = complex(z[ends[0]]), complex(z[ends[1]])
    if abs(end - start) <= FLAT:
        return [start], abs(end - start)
    aside = float(np.max(np.abs(cross(end - start, z - start)))) / abs(end - start)
    if aside <= FLAT:
        return [start, end], aside
    import shapely

    ring = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(np.column_stack([z.real, z.imag]))))
    return [complex(x, y) for x, y in ring[:-1]], 0.0


def loosened(part: GearPart, side: float, lateral: float) -> GearPart:
    """The part anywhere within ``side`` of its place in the side view and ``lateral`` across it, mm."""
    if side == 0.0 and lateral == 0.0:
        return part
    lines = tuple((a - lateral, b + lateral) for a, b in part.butt_lines)
    return replace(part, radius=part.radius + side, butt_lines=lines)


def opened(part: GearPart, doors: Sequence[str]) -> GearPart:
    """A door that stays where it is with the gear down; any other part unchanged."""
    if part.name not in doors:
        return part
    return replace(part, core=tuple(BodyPoint(GROUND, p.at) for p in part.core))


def strayed(part: GearPart, drawn: Sequence[GearPart]) -> float:
    """How far in space any point of a part in a state lies at most from the same part as drawn, mm; infinite where
    that is not known. A gap to anything else cannot shrink by more."""
    if part in drawn:
        return 0.0
    return min(_strayed_from(part, d) for d in drawn)


def part_bodies(part: GearPart) -> set[str]:
    """Bodies on which the part's core lies."""
    return {p.body for p in part.core}


def _strayed_from(part: GearPart, drawn: GearPart) -> float:
    away = 0.0
    if part.core != drawn.core:
        if part_bodies(part) != part_bodies(drawn) or drawn.closed or len(part_bodies(drawn)) > 1:
            return math.inf
        # the distance to a convex core is greatest at a corner
        away = max(min(abs(p.at - q.at) for q in drawn.core) for p in part.core)
    side = away + max(0.0, part.radius - drawn.radius)
    across = max(min(max(c - a, b - d, 0.0) for c, d in drawn.butt_lines) for a, b in part.butt_lines)
    return math.hypot(side, across)
