"""Stroke -> the region swept by each part, never smaller than the truth, and the keep-out as a stack of slabs.

In planar motion the volume swept at a butt line is the side-view sweep of what lies at that butt line, so the keep-out
in space is exact in the butt-line direction and guaranteed outer in the side view.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from linkage.document.bay import Clip, KeepOutEntry
from linkage.document.study import Study
from linkage.errors import MechanismError
from linkage.gear import Gear, GearPart
from linkage.obstacles import Obstacle
from linkage.plane.envelope import (
    EnvelopeError,
    buffer_outer,
    refine,
    slack_target,
    sweep_cells,
    sweep_turning,
    union_outer,
)
from linkage.plane.outlines import shapes_of
from linkage.states import NOMINAL, Case
from linkage.stroke import Stroke
from linkage.tracks import Bends, track, turning

BEYOND = 1e5
"""mm. A clipping line or plane reaches so far beyond the keep-out."""

AREA_LOST = 1e-3
"""mm2 by which the two parts of a clipped region may differ from the whole."""


@dataclass(frozen=True)
class SweptPart:
    """Side-view region (shapely, FS and WL in mm) that holds every place of the part."""

    name: str
    butt_lines: tuple[tuple[float, float], ...]
    region: Any


@dataclass(frozen=True)
class Slab:
    """Keep-out between two butt lines, mm."""

    bl_lo: float
    bl_hi: float
    region: Any


@dataclass(frozen=True)
class KeepOut:
    """``allowance``: grown beyond the swept region, also sideways; ``tolerance``: most by which the sweep of one part
    may exceed the truth in the side view; ``states``: which states of the gear it covers; ``clip``: in words, where it
    was cut off, empty if nowhere. mm, mm2, mm3."""

    slabs: tuple[Slab, ...]
    side_view: Any
    allowance: float
    tolerance: float
    states: tuple[str, ...]
    clip: str = ""

    @property
    def side_area(self) -> float:
        return float(self.side_view.area)

    @property
    def volume(self) -> float:
        return float(sum((s.bl_hi - s.bl_lo) * s.region.area for s in self.slabs))


@dataclass(frozen=True)
class Swept:
    """``parts``: in the nominal state, whole; ``inner``: where the tyre parts really go in every state of the keep-out,
    without allowance or clip; ``hot``: the hot bay items grown by their zone (`hot_zone`). Either is empty if not asked
    for."""

    parts: tuple[SweptPart, ...]
    keep_out: KeepOut
    inner: tuple[Slab, ...] = ()
    hot: tuple[Slab, ...] = ()


def sweep(
    study: Study,
    gear: Gear,
    stroke: Stroke,
    cases: Sequence[Case] = (),
    bends: Bends | None = None,
) -> Swept:
    """Sweep every part over the whole stroke in the nominal state, and stack the keep-out of it and of every case that
    is to be kept out too. ``bends``: see `linkage.tracks.Bends`."""
    entry, bends = study.keep_out, {} if bends is None else bends
    whole = (0.0, stroke.driven_up)
    parts = tuple(_swept(gear, p, stroke.driven_up, whole, entry.tolerance, bends) for p in gear.parts)
    kept = [case for case in cases if case.entry.keep_out]
    wanted: dict[tuple[GearPart, tuple[float, float]], None] = {}
    for part in gear.parts:
        wanted |= dict.fromkeys((slice_, whole) for slice_ in part.nested)
    wanted |= {(part, case.span): None for case in kept for part in case.parts if (part, whole) not in wanted}
    known = dict(zip(gear.parts, parts, strict=True))
    reached = [
        known[p] if p in known and span == whole else _swept(gear, p, stroke.driven_up, span, entry.tolerance, bends)
        for p, span in wanted
    ]
    states = (NOMINAL, *(case.name for case in kept))
    tyres = [s for s, (p, _) in zip(reached, wanted, strict=True) if p.tyre]
    return Swept(
        parts,
        keep_out(reached, entry.allowance, entry.tolerance, states, entry.clip),
        _stack(tyres, 0.0, entry.tolerance) if entry.inner_zone else (),
    )


def _swept(
    gear: Gear, part: GearPart, driven_up: float, span: tuple[float, float], tol: float, bends: Bends
) -> SweptPart:
    return SweptPart(part.name, part.butt_lines, region(gear, part, driven_up, tol, span, bends))


def region(
    gear: Gear,
    part: GearPart,
    driven_up: float,
    tol: float,
    span: tuple[float, float] | None = None,
    bends: Bends | None = None,
) -> Any:
    """Region swept by one part, outer, exceeding the truth by at most about ``tol``; over the whole stroke, or a single
    driven rotation given as ``span``."""
    lo, hi = span or (0.0, driven_up)
    if lo == hi:
        path = track(gear, part, driven_up, bends)
        return buffer_outer(shapes_of(path.at(np.array([lo])), part.closed)[0], part.radius, tol)
    turn = turning(gear, part, driven_up, bends)
    if turn is not None:
        core = [p.at for p in part.core]
        return sweep_turning(core, part.closed, turn.pivot, turn.lo, turn.hi, part.radius, tol)
    path = track(gear, part, driven_up, bends)
    edges, slack = refine(path.slack, lo, hi, slack_target(tol))
    cores = path.at(edges)
    if part.closed and len({p.body for p in part.core}) > 1:
        _check_simple(part, cores)
    return sweep_cells(cores, part.closed, slack, part.radius, tol)


def _check_simple(part: GearPart, cores: Any) -> None:
    """The sweep of an outline holds while it stays simple; between bodies that move on each other it may not."""
    bad = np.flatnonzero(~shapely.is_valid(shapes_of(cores, True)))
    if bad.size:
        raise MechanismError(f"{part.name}: its outline crosses itself on the way (cell {bad[0]} of {len(cores)})")


def keep_out(
    parts: Sequence[SweptPart], allowance: float, tol: float, states: tuple[str, ...], clip: Clip | None = None
) -> KeepOut:
    """Stack of slabs between all butt lines at which some part begins or ends, grown by the allowance all round."""
    slabs = _stack(parts, allowance, tol)
    view = union_outer([buffer_outer(p.region, allowance, tol) if allowance > 0 else p.region for p in parts])
    if clip is None:
        return KeepOut(slabs, view, allowance, tol, states)
    window = _window(clip)
    cut = tuple(Slab(s.bl_lo, s.bl_hi, clipped(s.region, window)) for s in slabs)
    return KeepOut(
        tuple(s for s in cut if not s.region.is_empty), clipped(view, window), allowance, tol, states, clip_words(clip)
    )


def _stack(parts: Sequence[SweptPart], allowance: float, tol: float) -> tuple[Slab, ...]:
    grown = [buffer_outer(p.region, allowance, tol) if allowance > 0 else p.region for p in parts]
    spans = [(i, lo - allowance, hi + allowance) for i, p in enumerate(parts) for lo, hi in p.butt_lines]
    cuts = sorted({cut for _, lo, hi in spans for cut in (lo, hi)})
    slabs = []
    for lo, hi in pairwise(cuts):
        inside = {i for i, a, b in spans if a <= lo and hi <= b}
        if inside:
            slabs.append(
                Slab(lo, hi, union_outer([grown[i] for i in sorted(inside, key=lambda i: (parts[i].name, i))]))
            )
    return tuple(slabs)


def hot_zone(entry: KeepOutEntry, bay: Sequence[Obstacle]) -> tuple[Slab, ...]:
    """Hot items grown all round by the zone that is asked for; never smaller than the truth, empty if none is."""
    growth, found = entry.hot_zone, []
    for item in bay:
        if growth is not None and item.hot:
            grown = buffer_outer(item.shape, item.radius + growth, entry.tolerance)
            found += [Slab(lo - growth, hi + growth, grown) for lo, hi in item.butt_lines]
    return tuple(found)


def _window(clip: Clip) -> Any:
    """The region that stays, of the whole side view."""
    window = shapely.box(-BEYOND, -BEYOND, BEYOND if clip.ahead_of is None else clip.ahead_of, BEYOND)
    if clip.above is not None:
        line = [(-BEYOND, clip.above[0][1]), *clip.above, (BEYOND, clip.above[-1][1])]
        window = shapely.intersection(window, shapely.Polygon([*line, (BEYOND, BEYOND), (-BEYOND, BEYOND)]))
    return window


def clipped(region: Any, window: Any) -> Any:
    """What of a region lies in the window. Both what stays and what goes are computed, and must add up to the whole."""
    stays, goes = shapely.intersection(region, window), shapely.difference(region, window)
    if abs(stays.area + goes.area - region.area) > AREA_LOST:
        raise EnvelopeError(f"clipping the keep-out loses {region.area - stays.area - goes.area:.3g} mm2")
    areas = [g for g in shapely.get_parts(stays) if shapely.get_dimensions(g) == 2]
    return areas[0] if len(areas) == 1 else shapely.MultiPolygon(areas)


def clip_words(clip: Clip) -> str:
    """Where the keep-out was cut off, in words."""
    said = []
    if clip.above is not None:
        said.append("below the line " + ", ".join(f"[{fs:g}, {wl:g}]" for fs, wl in clip.above) + " (FS, WL)")
    if clip.ahead_of is not None:
        said.append(f"aft of FS {clip.ahead_of:g}")
    return "cut off " + " and ".join(said) + " mm: the gear goes there too"
