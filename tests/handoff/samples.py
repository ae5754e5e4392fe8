"""Made-up shapes of the size and roughness that a real keep-out has."""

from __future__ import annotations

import cmath
import hashlib
import itertools
import math

import numpy as np
from shapely import union_all
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from linkage.handoff.model import (
    Circle,
    HandOff,
    Label,
    Layer,
    Line,
    Mark,
    NamedSolid,
    Pin,
    Provenance,
    Slab,
    Unit,
)

TRUNNION = 1000 + 900j
STUDY = b"a study"


def arc_of(centre: complex, radius: float, start: float, swing: float, step: float = 0.015) -> list[complex]:
    """Circumscribed polyline of an arc: its pieces touch the arc and never cut it."""
    count = math.ceil(abs(swing) / step)
    h = swing / count
    middles = [radius / math.cos(h / 2) * cmath.exp(1j * (start + (k + 0.5) * h)) for k in range(count)]
    ends = [radius * cmath.exp(1j * start), radius * cmath.exp(1j * (start + swing))]
    return [centre + z for z in (ends[0], *middles, ends[1])]


def swept_capsule(pivot: complex, tip: complex, swing: float, radius: float) -> BaseGeometry:
    """Outer sweep of a round-ended rod that turns about its own end ``pivot``."""
    arm = tip - pivot
    path = arc_of(pivot, abs(arm), cmath.phase(arm), swing)
    core = Polygon([(z.real, z.imag) for z in (pivot, *path)])
    return core.buffer(radius / math.cos(1.5 * math.pi / (4 * 48)), quad_segs=48).simplify(0.004).buffer(0.004)


def swept_disc(pivot: complex, centre: complex, swing: float, radius: float) -> BaseGeometry:
    """Outer sweep of a disc about ``pivot``: a banana."""
    arm = centre - pivot
    path = arc_of(pivot, abs(arm), cmath.phase(arm), swing, 0.01)
    excess = abs(arm) * (1 / math.cos(0.005) - 1)
    reach = (radius + excess) / math.cos(1.5 * math.pi / (4 * 64))
    return LineString([(z.real, z.imag) for z in path]).buffer(reach, quad_segs=64)


def realistic(bands: int = 12) -> tuple[Slab, ...]:
    """Tyre on an arm, narrower at its shoulders, with leg and brace in the middle: not nested."""
    edges = np.linspace(-60.0, 60.0, bands + 1)
    out = []
    for lo, hi in itertools.pairwise(edges):
        near = min(abs(lo), abs(hi)) if lo * hi >= 0 else 0.0
        parts = [swept_disc(TRUNNION, TRUNNION - 700j, -math.radians(98), 120 + math.sqrt(60**2 - near**2))]
        if near < 40:
            parts.append(swept_capsule(TRUNNION, TRUNNION - 700j, -math.radians(98), 35.0))
        if near < 25:
            parts.append(swept_capsule(1340 + 800j, 1020 + 560j, 1.2, 22.0))
        out.append(Slab(float(lo), float(hi), union_all(parts)))
    return tuple(out)


def plain() -> tuple[Slab, ...]:
    """Two quick slabs with lines, arcs and a hole."""
    plate = box(1000, 200, 1400, 700).buffer(30, quad_segs=32) - Point(1150, 400).buffer(60, quad_segs=32)
    return (Slab(-60.0, 0.0, plate), Slab(0.0, 40.0, box(1100, 300, 1300, 900).buffer(20, quad_segs=32)))


def provenance(units: Unit = "mm") -> Provenance:
    """A provenance with text that files have trouble with."""
    return Provenance(
        tool_version="0.1.0",
        study_name="Milan é \"two\" 'three'",
        study_sha256=hashlib.sha256(STUDY).hexdigest(),
        units=units,
        states=("new tyre, extended", "flat tyre, bottomed"),
        allowance_mm=10.0,
        tolerance_mm=0.1,
        cautions=("engine mounts sagged only as far as stated", "=cmd|' /C calc'!A0"),
        guarantee="Encloses every place that the gear reaches in the states named, never smaller.",
    )


def handoff(units: Unit = "mm", slabs: tuple[Slab, ...] | None = None) -> HandOff:
    """A whole package."""
    slabs = realistic(6) if slabs is None else slabs
    layers = (
        Layer("down", (Line((1000 + 900j, 1000 + 200j)), Circle(1000 + 200j, 180.0)), (0, 0, 0), "thick"),
        Layer('=cmd "é"', (Mark(1000 + 900j), Label(1000 + 950j, "=cmd %%u é ^J")), (213, 94, 0), "phantom"),
    )
    return HandOff(
        keep_out=NamedSolid("keep-out", (213, 94, 0), slabs, 0.5),
        zones=(
            NamedSolid("zone é 'x' =cmd", (0, 114, 178), slabs[:2]),
            NamedSolid("keep-out", (0, 158, 115), slabs[-1:]),
        ),
        layers=layers,
        pins=(Pin("trunnion", TRUNNION, TRUNNION), Pin("=knee, é", 1200 + 500j, 1300.5 + 820.25j)),
        provenance=provenance(units),
    )
