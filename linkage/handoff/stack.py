"""Slabs as a stack: cut so that none overlaps another in butt line, with exact measures. Everything in mm."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from linkage.handoff.model import HandoffError, NamedSolid, Slab

JOIN_GROWTH = 1e-6
"""A union rounds its new vertices; growing it by this much, mm, puts it outside again."""

SAME_PLANE = 1e-6
"""mm. Butt lines closer than this are one: the difference is rounding (0.1 + 0.2), and a slab so thin is nothing."""


@dataclass(frozen=True)
class Measures:
    """What every reader must find again: volume, side-view area, bounds (FS, BL, WL low, then the same high)."""

    volume_mm3: float
    side_area_mm2: float
    bounds_mm: tuple[float, float, float, float, float, float]


def stacked(solid: NamedSolid) -> tuple[Slab, ...]:
    """Slabs in rising butt line, none overlapping; equal neighbours are one. Raises ``HandoffError`` on bad input."""
    _refuse_bad(solid)
    at = _one_plane({cut for slab in solid.slabs for cut in (slab.bl_lo, slab.bl_hi)})
    slabs = [Slab(at[s.bl_lo], at[s.bl_hi], s.region) for s in solid.slabs]
    cuts = sorted(set(at.values()))
    out: list[Slab] = []
    for lo, hi in itertools.pairwise(cuts):
        regions = [s.region for s in slabs if s.bl_lo <= lo and hi <= s.bl_hi]
        if not regions:
            continue
        region = joined(regions)
        if out and out[-1].bl_hi == lo and out[-1].region.equals_exact(region, 0.0):
            out[-1] = Slab(out[-1].bl_lo, hi, region)
        else:
            out.append(Slab(lo, hi, region))
    return tuple(out)


def joined(regions: Sequence[BaseGeometry]) -> BaseGeometry:
    """Union that surely covers every one of ``regions`` (checked), larger by some ``JOIN_GROWTH`` at most.

    A float union can lose area in silence, so its word is not taken: where it fails, coarser grids are tried, and at
    last an error is raised.
    """
    largest = max(regions, key=lambda r: r.area)
    if all(r is largest or largest.covers(r) for r in regions):
        return largest
    for grid in (None, 1e-4, 1e-3):
        union = shapely.union_all(list(regions), grid_size=grid)
        union = union.buffer(JOIN_GROWTH + (grid or 0.0), join_style="mitre")
        if union.is_valid and all(union.covers(r) for r in regions):
            return union
    raise HandoffError(f"union of {len(regions)} regions at {largest.bounds} loses area")


def measured(solid: NamedSolid) -> Measures:
    """Exact measures of the solid that the slabs describe."""
    slabs = stacked(solid)
    side = side_view(slabs)
    fs_lo, wl_lo, fs_hi, wl_hi = side.bounds
    volume = math.fsum(s.region.area * (s.bl_hi - s.bl_lo) for s in slabs)
    return Measures(volume, side.area, (fs_lo, slabs[0].bl_lo, wl_lo, fs_hi, slabs[-1].bl_hi, wl_hi))


def side_view(slabs: Sequence[Slab]) -> BaseGeometry:
    """Shadow of the slabs on the side view."""
    return joined([s.region for s in slabs])


def _one_plane(cuts: set[float]) -> dict[float, float]:
    """Butt line -> the one it is taken as: those closer than ``SAME_PLANE`` to their neighbour are one."""
    ordered, taken = sorted(cuts), {}
    last = first = ordered[0]
    for cut in ordered:
        first = first if cut - last <= SAME_PLANE else cut
        taken[cut], last = first, cut
    # The outermost one is never moved inward.
    return {cut: ordered[-1] if plane == first else plane for cut, plane in taken.items()}


def _refuse_bad(solid: NamedSolid) -> None:
    if not solid.name.strip():
        raise HandoffError("a solid needs a name")
    if not solid.slabs:
        raise HandoffError(f"solid {solid.name!r} has no slabs")
    for slab in solid.slabs:
        where = f"solid {solid.name!r}, slab BL {slab.bl_lo} to {slab.bl_hi}"
        if not (math.isfinite(slab.bl_lo) and math.isfinite(slab.bl_hi) and slab.bl_hi - slab.bl_lo > SAME_PLANE):
            raise HandoffError(f"{where}: butt lines must be finite and rising")
        region = slab.region
        if not isinstance(region, Polygon | MultiPolygon) or region.is_empty or region.area <= 0.0:
            raise HandoffError(f"{where}: region must be a polygon with an area, got {region.geom_type}")
        if not np.all(np.isfinite(shapely.get_coordinates(region))) or not region.is_valid:
            raise HandoffError(f"{where}: region is broken: {shapely.is_valid_reason(region)}")
