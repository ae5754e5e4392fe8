"""Stroke -> the region swept by each part, never smaller than the truth, and the keep-out as a stack of slabs.

In planar motion the volume swept at a butt line is the side-view sweep of what lies at that butt line, so the keep-out
in space is exact in the butt-line direction and guaranteed outer in the side view.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.plane.envelope import buffer_outer, refine, slack_target, sweep_cells, sweep_turning, union_outer
from linkage.stroke import Stroke
from linkage.tracks import in_state, track, turning


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
    may exceed the truth in the side view; ``states``: which states of the gear it covers. mm, mm2, mm3."""

    slabs: tuple[Slab, ...]
    side_view: Any
    allowance: float
    tolerance: float
    states: tuple[str, ...]

    @property
    def side_area(self) -> float:
        return float(self.side_view.area)

    @property
    def volume(self) -> float:
        return float(sum((s.bl_hi - s.bl_lo) * s.region.area for s in self.slabs))


@dataclass(frozen=True)
class Swept:
    parts: tuple[SweptPart, ...]
    keep_out: KeepOut


def sweep(study: Study, gear: Gear, stroke: Stroke) -> Swept:
    """Sweep every part over the whole stroke with the strut extended, and stack the keep-out."""
    tol = study.keep_out.tolerance
    parts = tuple(
        SweptPart(p.name, p.butt_lines, region(gear, in_state(p, gear, 0.0), stroke.driven_up, tol)) for p in gear.parts
    )
    return Swept(parts, keep_out(parts, study.keep_out.allowance, tol, ("strut extended, gear moving",)))


def region(gear: Gear, part: GearPart, driven_up: float, tol: float) -> Any:
    """Region swept by one part, outer, exceeding the truth by at most about ``tol``."""
    turn = turning(gear, part, driven_up)
    if turn is not None:
        core = [p.at for p in part.core]
        return sweep_turning(core, part.closed, turn.pivot, turn.lo, turn.hi, part.radius, tol)
    path = track(gear, part, driven_up)
    edges, slack = refine(path.slack, 0.0, driven_up, slack_target(tol))
    return sweep_cells(path.at(edges), part.closed, slack, part.radius, tol)


def keep_out(parts: Sequence[SweptPart], allowance: float, tol: float, states: tuple[str, ...]) -> KeepOut:
    """Stack of slabs between all butt lines at which some part begins or ends, grown by the allowance all round."""
    grown = {p.name: buffer_outer(p.region, allowance, tol) if allowance > 0 else p.region for p in parts}
    spans = [(p.name, lo - allowance, hi + allowance) for p in parts for lo, hi in p.butt_lines]
    cuts = sorted({cut for _, lo, hi in spans for cut in (lo, hi)})
    slabs = []
    for lo, hi in pairwise(cuts):
        inside = {name for name, a, b in spans if a <= lo and hi <= b}
        if inside:
            slabs.append(Slab(lo, hi, union_outer([grown[name] for name in sorted(inside)])))
    return KeepOut(tuple(slabs), union_outer(list(grown.values())), allowance, tol, states)
