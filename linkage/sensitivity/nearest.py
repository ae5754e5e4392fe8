"""Two sides of a gap over the stroke: where they are least apart, and between which points of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import in_space, lateral_gap
from linkage.gear import GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.roots import closed_in
from linkage.plane.duals import value_of
from linkage.plane.outlines import shapes_of
from linkage.plane.vectors import dot
from linkage.results import Results
from linkage.sensitivity.seeded import Seeded
from linkage.stroke import motion_at

LEVEL = 1e-11
"""mm. A curve that rises by less from one pose to the next is level."""


@dataclass(frozen=True)
class Side:
    """One side of a pair, with slopes in its numbers: a part of the gear, or a fixed shape that is shifted."""

    radius: Any
    butt_lines: Any
    part: GearPart | None = None
    plain: GearPart | None = None
    shape: Any = None
    shift: Any = 0j


@dataclass(frozen=True)
class Pair:
    names: tuple[str, str]
    a: Side
    b: Side
    stowed: bool
    required: float


@dataclass(frozen=True)
class Least:
    """A least gap of a pair over the stroke: where it is, whether at an end of the stroke (0 or 1), and between which
    points."""

    pair: Pair
    gap: float
    driven: float
    end: float | None
    touch: Touch


def _plain_lines(side: Side) -> list[tuple[float, float]]:
    return [(float(lo), float(hi)) for lo, hi in side.butt_lines]


def _cores(pair: Pair, motion: Motion) -> list[Complexes | None]:
    """Points of both cores (poses, points); None of a fixed shape."""
    return [
        None if x.plain is None else np.stack([motion.point(p.body, p.at)[0] for p in x.plain.core], axis=1)
        for x in (pair.a, pair.b)
    ]


def _shapes(pair: Pair, cores: Sequence[Complexes | None]) -> list[NDArray[Any]]:
    """Of both sides: at every pose, or the one that is fixed."""
    return [
        np.array([x.shape]) if x.plain is None or core is None else shapes_of(core, x.plain.closed)
        for x, core in zip((pair.a, pair.b), cores, strict=True)
    ]


def leasts(r: Results, s: Seeded, pair: Pair, closely: bool) -> Iterator[Least]:
    """Least gaps of a pair over the stroke: every low of the curve over the poses, closed in or as those have it."""
    up = r.stroke.driven_up
    lateral = lateral_gap(_plain_lines(pair.a), _plain_lines(pair.b))
    radius = float(value_of(pair.a.radius)) + float(value_of(pair.b.radius))
    place, inside = (np.array([up]), np.array([False])) if pair.stowed else _lows(r, s, pair, radius, closely)
    touch = _touch(pair, motion_at(s.plain, place, 1))
    for k, driven in enumerate(place.tolist()):
        end = None if inside[k] else 0.0 if driven == 0.0 else 1.0 if driven == up else None
        yield Least(pair, float(in_space(lateral, touch.size[k] - radius)), driven, end, touch.at(k))


def _lows(r: Results, s: Seeded, pair: Pair, radius: float, closely: bool) -> tuple[Floats, NDArray[np.bool_]]:
    """Driven rotations of the lows, and whether the distance is level there; at an end of the stroke it need not be."""
    driven = r.stroke.driven
    side = shapely.distance(*_shapes(pair, _cores(pair, r.stroke.motion))) - radius
    padded = np.concatenate([[np.inf], side, [np.inf]])
    # of places in a row that are as near, as where a part does not move at all, the first stands for all
    rows = np.flatnonzero((side < padded[:-2] - LEVEL) & (side <= padded[2:] + LEVEL))
    if not closely:
        return driven[rows], (rows > 0) & (rows < len(driven) - 1)
    lo, hi = driven[np.maximum(rows - 1, 0)], driven[np.minimum(rows + 1, len(driven) - 1)]
    low, high = _rates(s, pair, lo), _rates(s, pair, hi)
    inside = (low < 0.0) & (high > 0.0)
    place = np.where(low >= 0.0, lo, hi)  # least at an end, or in touch, where no rate is defined
    if inside.any():
        place[inside] = closed_in(lambda q: _rates(s, pair, q), lo[inside], hi[inside], low[inside], high[inside])
    return place, inside


@dataclass(frozen=True)
class Touch:
    """Nearest points at every pose: ``apart`` (poses,) from b to a, and on which part of the core each lies: weights
    (poses, points) of its points, None on a fixed shape."""

    apart: Complexes
    on_a: Floats | None
    on_b: Floats | None

    @property
    def size(self) -> Floats:
        return np.abs(self.apart)

    def at(self, k: int) -> Touch:
        """At pose ``k`` alone, without the axis of poses."""
        a, b = (None if on is None else on[k] for on in (self.on_a, self.on_b))
        return Touch(self.apart[k], a, b)


def _touch(pair: Pair, motion: Motion) -> Touch:
    cores = _cores(pair, motion)
    xy = shapely.get_coordinates(shapely.shortest_line(*_shapes(pair, cores))).reshape(-1, 2, 2)
    ends = xy[..., 0] + 1j * xy[..., 1]
    on = [
        None if x.plain is None or core is None else _weights(core, x.plain.closed, end)
        for x, core, end in zip((pair.a, pair.b), cores, ends.T, strict=True)
    ]
    return Touch(ends[:, 0] - ends[:, 1], on[0], on[1])


def _weights(core: Complexes, closed: bool, end: Complexes) -> Floats:
    """How the nearest points (poses,) are mixed from the two points of the core (poses, points) beside them."""
    count, points = core.shape
    if points == 1:
        return np.ones((count, 1))
    start, stop = (core, np.roll(core, -1, axis=1)) if closed else (core[:, :-1], core[:, 1:])
    edge = stop - start
    span = np.abs(edge) ** 2  # an edge may be a point
    part = np.clip(dot(end[:, None] - start, edge) / np.where(span > 0.0, span, 1.0), 0.0, 1.0)
    rows, i = np.arange(count), np.argmin(np.abs(start + part * edge - end[:, None]), axis=1)
    out = np.zeros((count, points))
    out[rows, i], out[rows, (i + 1) % points] = 1.0 - part[rows, i], part[rows, i]
    return out


def _rates(s: Seeded, pair: Pair, driven: Floats) -> Floats:
    """Change of the distance per radian of driven rotation (n,); nought in touch."""
    motion = motion_at(s.plain, driven, 1)
    touch, speed = _touch(pair, motion), np.zeros(len(driven), complex)
    for side, weights, sign in ((pair.a, touch.on_a, 1.0), (pair.b, touch.on_b, -1.0)):
        if weights is not None and side.plain is not None:
            for p, w in zip(side.plain.core, weights.T, strict=True):
                if w.any():
                    speed += sign * w * motion.velocity(p.body, p.at)[0]
    size = touch.size
    return np.where(size > 0.0, dot(touch.apart, s.plain.drive_sense * speed) / np.where(size > 0.0, size, 1.0), 0.0)
