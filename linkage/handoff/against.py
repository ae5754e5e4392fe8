"""What changed? The new keep-out beside an old one: where it grew, where it shrank, by how much."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from linkage.handoff.arcs import polygons_of
from linkage.handoff.keepout_json import KeepOutFile, read_keep_out
from linkage.handoff.model import Slab
from linkage.handoff.stack import stacked

NOISE_MM = 1e-3
"""Regions thinner than this are rounding, not change."""

COMPARED = (
    "tool_version",
    "study",
    "drawing_unit",
    "states",
    "allowance_mm",
    "tolerance_mm",
    "guarantee",
    "cautions",
)


@dataclass(frozen=True)
class SlabChange:
    """Between two butt lines: regions (side view, mm) only the new or only the old keep-out has, empty if none."""

    bl_lo: float
    bl_hi: float
    grown: BaseGeometry
    shrunk: BaseGeometry


@dataclass(frozen=True)
class Change:
    """Volumes are exact for the slabs; ``deepest_growth_mm`` is the largest side-view distance from the old slab.

    ``deepest_growth_mm`` counts slabs that are new altogether as infinite. ``said`` lists what the heads say
    differently: key -> (old, new).
    """

    slabs: tuple[SlabChange, ...]
    grown_mm3: float
    shrunk_mm3: float
    deepest_growth_mm: float
    said: dict[str, tuple[Any, Any]]

    @property
    def any(self) -> bool:
        """True if the keep-out itself changed."""
        return bool(self.slabs)


def compare(new_json: Path, old_json: Path) -> Change:
    """Compare two keep-out.json files (keep-out only, not the zones). Raises ``HandoffError`` if one is broken."""
    new, old = read_keep_out(new_json), read_keep_out(old_json)
    new_slabs, old_slabs = stacked(new.solids[0]), stacked(old.solids[0])
    cuts = sorted({bl for s in (*new_slabs, *old_slabs) for bl in (s.bl_lo, s.bl_hi)})
    changes, deepest = [], 0.0
    for lo, hi in itertools.pairwise(cuts):
        now, before = _at(new_slabs, lo, hi), _at(old_slabs, lo, hi)
        grown, shrunk = _only(now, before), _only(before, now)
        if not (grown.is_empty and shrunk.is_empty):
            changes.append(SlabChange(lo, hi, grown, shrunk))
            deepest = max(deepest, _depth(grown, before))
    volume = {
        side: math.fsum(getattr(c, side).area * (c.bl_hi - c.bl_lo) for c in changes) for side in ("grown", "shrunk")
    }
    return Change(tuple(changes), volume["grown"], volume["shrunk"], deepest, _said(new, old))


def describe(change: Change) -> list[str]:
    """The change in words, one line per fact, largest regions first."""
    lines = [f"{key}: was {old}, is {new}" for key, (old, new) in change.said.items()]
    if not change.any:
        return [*lines, "keep-out unchanged"]
    lines.append(f"grown by {change.grown_mm3 / 1e3:.1f} cm3, shrunk by {change.shrunk_mm3 / 1e3:.1f} cm3")
    if change.deepest_growth_mm > 0:
        deepest = change.deepest_growth_mm
        lines.append("grown where there was nothing" if math.isinf(deepest) else f"deepest growth {deepest:.2f} mm")
    pieces = [
        (piece.area * (c.bl_hi - c.bl_lo), word, c, piece)
        for c in change.slabs
        for word, region in (("grown", c.grown), ("shrunk", c.shrunk))
        for piece in polygons_of(region)
    ]
    for volume, word, c, piece in sorted(pieces, key=lambda p: -p[0]):
        fs_lo, wl_lo, fs_hi, wl_hi = piece.bounds
        lines.append(
            f"{word} {volume / 1e3:.2f} cm3: BL {c.bl_lo:g} to {c.bl_hi:g}, "
            f"FS {fs_lo:.1f} to {fs_hi:.1f}, WL {wl_lo:.1f} to {wl_hi:.1f} mm"
        )
    return lines


def _at(slabs: tuple[Slab, ...], lo: float, hi: float) -> BaseGeometry:
    return next((s.region for s in slabs if s.bl_lo <= lo and hi <= s.bl_hi), Polygon())


def _only(a: BaseGeometry, b: BaseGeometry) -> BaseGeometry:
    """What ``a`` has and ``b`` has not, without pieces thinner than the noise."""
    if a.equals_exact(b, 0.0):
        return Polygon()
    pieces = [p for p in polygons_of(shapely.difference(a, b)) if not p.buffer(-NOISE_MM / 2).is_empty]
    return MultiPolygon(pieces) if pieces else Polygon()


def _depth(grown: BaseGeometry, before: BaseGeometry) -> float:
    if grown.is_empty:
        return 0.0
    if before.is_empty:
        return math.inf
    return float(shapely.distance(shapely.points(shapely.get_coordinates(grown)), before).max())


def _said(new: KeepOutFile, old: KeepOutFile) -> dict[str, tuple[Any, Any]]:
    return {k: (old.head.get(k), new.head.get(k)) for k in COMPARED if old.head.get(k) != new.head.get(k)}
