"""Which gaps to follow, and where on the stroke: from the drawn gear's full clearance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.clearance import in_space, lateral_gap
from linkage.gear import Gear
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import trace
from linkage.obstacles import Obstacle
from linkage.plane.gaps import gap_curve
from linkage.stroke import Stroke
from linkage.tolerance.near import signed_gaps
from linkage.tracks import track


@dataclass(frozen=True)
class Spot:
    """Driven rotations at which something is looked at, rad: one, or three alike apart; ``up``: at leg-up, wherever
    that comes to lie."""

    at: tuple[float, ...]
    up: bool

    def driven(self, up: Floats) -> Floats:
        """Rotations (n, 1) or (1, 3) of a family whose driven rotation at leg-up is ``up`` (n,)."""
        return up[:, None] if self.up else np.array([self.at])


def spot_of(stroke: Stroke, k: int) -> Spot:
    """At pose ``k``: between both ends of the stroke with its neighbours."""
    last = len(stroke.driven) - 1
    near = stroke.driven[k : k + 1] if k in (0, last) else stroke.driven[k - 1 : k + 2]
    return Spot(tuple(float(q) for q in near), k == last)


@dataclass(frozen=True)
class Watch:
    """One part near one bay item at one place of the stroke. ``beside``: the two lie so far over one another in the
    side view that their distance across it is all there is. ``gap``: as drawn, ``required``: mm."""

    part: int
    slice: int
    item: Obstacle
    lateral: float
    spot: Spot
    beside: bool
    drawn: tuple[complex, ...]
    gap: float
    required: float

    @property
    def margin(self) -> float:
        return self.gap - self.required


def watched(gear: Gear, stroke: Stroke, items: Sequence[Obstacle], reach: float) -> tuple[Watch, ...]:
    """Every place where a gap is within ``reach`` mm of the least gap of its item."""
    found: list[Watch] = []
    for i, part in enumerate(gear.parts):
        for j, piece in enumerate(part.nested):
            core = track(gear, piece, stroke.driven_up).at(stroke.driven)
            for item in items:
                if piece.name not in item.ignore:
                    side = gap_curve(core, piece.closed, piece.radius + item.radius, item.shape)
                    lateral = lateral_gap(piece.butt_lines, item.butt_lines)
                    found += _places(stroke, (i, j), item, lateral, side, core, reach)
    least: dict[str, float] = {}
    for w in found:
        least[w.item.name] = min(least.get(w.item.name, np.inf), w.margin)
    return tuple(w for w in found if w.margin <= least[w.item.name] + reach)


def _places(
    stroke: Stroke, which: tuple[int, int], item: Obstacle, lateral: float, side: Floats, core: Complexes, reach: float
) -> Iterator[Watch]:
    """Each local least of the gap that is near its least."""
    last = len(side) - 1
    curve = np.asarray(in_space(lateral, side))
    beside = lateral > 0 and not item.stowed_only and bool(side.min() < -reach)
    if item.stowed_only:
        spots = [last]
    elif beside:
        spots = [int(side.argmin())]
    else:
        padded = np.concatenate([[np.inf], curve, [np.inf]])
        low = (padded[1:-1] <= padded[:-2]) & (padded[1:-1] < padded[2:])
        spots = [int(k) for k in np.flatnonzero(low & (curve <= curve.min() + reach))]
    for k in spots:
        drawn = tuple(complex(z) for z in core[k])
        yield Watch(*which, item, lateral, spot_of(stroke, k), beside, drawn, float(curve[k]), item.required)


def gaps_at(watch: Watch, gear: Gear, up: Floats) -> Floats:
    """Side-view gap (n,) of a family at a watched place, mm; ``up`` (n,): driven rotation at leg-up."""
    if watch.beside:
        return np.where(np.isnan(up), np.nan, -np.inf)
    piece = gear.parts[watch.part].nested[watch.slice]
    drive = gear.drive_sense * watch.spot.driven(up)
    points = trace(gear.plan, drive, [(p.body, p.at) for p in piece.core])
    drawn = np.array(watch.drawn)
    radius, deep = piece.radius + watch.item.radius, watch.lateral <= 0
    columns = [signed_gaps(z.T, drawn, piece.closed, radius, watch.item.shape, deep) for z in np.moveaxis(points, 2, 0)]
    return least_at(np.stack(columns, axis=1))


def least_at(y: Floats) -> Floats:
    """Least value (n,) of what is looked at at a spot (n, 1) or (n, 3).

    Of three the least of the parabola through them, not beyond the outer two: the poses are exact, the parabola is off
    by terms of the third order in the distance between them.
    """
    if y.shape[1] == 1:
        return y[:, 0]
    bend = y[:, 0] - 2.0 * y[:, 1] + y[:, 2]
    slope = 0.5 * (y[:, 2] - y[:, 0])
    at = np.clip(-slope / np.where(bend > 0, bend, np.inf), -1.0, 1.0)
    return np.asarray(np.minimum(y.min(axis=1), y[:, 1] + slope * at + 0.5 * bend * at * at))
