"""Places of the stroke at which a gap is followed, and the gap of every gear of a family there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from linkage.clearance import in_space, lateral_gap
from linkage.gear import Gear
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import trace
from linkage.obstacles import Obstacle
from linkage.stroke import Stroke
from linkage.tolerance.moving import Moving
from linkage.tolerance.near import Cores, Still, general_gaps, signed_gaps
from linkage.tracks import core_at

BEYOND = 2.0
"""Steps of the pose table from where the drawn gear comes nearest; a gear as made may come nearest farther on."""


@dataclass(frozen=True)
class Spot:
    """Driven rotations at which something is looked at, rad: one, or three alike apart; ``up``: at leg-up, wherever
    that comes to lie."""

    at: tuple[float, ...]
    up: bool

    def driven(self, up: Floats) -> Floats:
        """Rotations (n, 1) or (1, 3) of a family whose driven rotation at leg-up is ``up`` (n,)."""
        return up[:, None] if self.up else np.array([self.at])

    def beyond(self, up: Floats) -> tuple[Floats | float, Floats | float]:
        """How far from the middle of three a least value is looked for, in steps between them: two to either side, as
        far as the stroke of each gear goes."""
        if len(self.at) == 1:
            return 0.0, 0.0
        step = self.at[1] - self.at[0]
        return -min(self.at[1] / step, BEYOND), np.clip((up - self.at[1]) / step, 1.0, BEYOND)


def spot_of(stroke: Stroke, k: int) -> Spot:
    """At pose ``k``: between both ends of the stroke with its neighbours."""
    last = len(stroke.driven) - 1
    near = stroke.driven[k : k + 1] if k in (0, last) else stroke.driven[k - 1 : k + 2]
    return Spot(tuple(float(q) for q in near), k == last)


@dataclass(frozen=True)
class Pair:
    """A part and a bay item, or another part, and what is asked of their gap, mm. ``result``: what is followed, the gap
    itself or (``margin``) what it has beyond ``required``; ``judged``: whether it counts; ``no_play``: the parts hold
    all play of the pins already, so the gears are followed without; ``poses``: of the stroke, first and last."""

    result: str
    one: Moving
    other: Moving | Obstacle
    required: float
    poses: tuple[int, int]
    margin: bool = False
    judged: bool = True
    no_play: bool = False

    @property
    def radius(self) -> float:
        return self.one.radius + self.other.radius

    @property
    def lateral(self) -> float:
        lines = self.other.butt_lines if isinstance(self.other, Obstacle) else self.other.piece.butt_lines
        return lateral_gap(self.one.piece.butt_lines, lines)

    @cached_property
    def still(self) -> Still | None:
        """The item's shape, if there is one."""
        return Still(self.other.shape) if isinstance(self.other, Obstacle) else None

    @property
    def moving(self) -> list[Moving]:
        return [m for m in (self.one, self.other) if isinstance(m, Moving)]

    @property
    def less(self) -> float:
        """What the result is below the gap, mm."""
        return self.required if self.margin else 0.0


@dataclass(frozen=True)
class Watch:
    """One pair at one place of the stroke. ``beside``: the two lie so far over one another in the side view that their
    distance across it is all there is. ``drawn``: core of each there (of an item none), ``gap``: as drawn, mm."""

    pair: Pair
    spot: Spot
    beside: bool
    drawn: tuple[tuple[complex, ...], ...]
    gap: float

    @property
    def result(self) -> str:
        return self.pair.result

    @property
    def margin(self) -> float:
        return self.gap - self.pair.required

    @property
    def wanted(self) -> float:
        """Least value of the result that is good, mm."""
        return self.pair.required - self.pair.less


@dataclass(frozen=True)
class Course:
    """The drawn gear over its stroke. ``known``: cores (poses, points) that were asked for before."""

    gear: Gear
    stroke: Stroke
    known: dict[Moving, Complexes] = field(default_factory=dict)

    def core(self, one: Moving) -> Complexes:
        if one not in self.known:
            self.known[one] = core_at(self.gear, one.piece)(self.stroke.driven)
        return self.known[one]


def places(course: Course, pair: Pair, reach: float) -> Iterator[Watch]:
    """Each place where the drawn gear's gap is least near by, and within ``reach`` mm of the least of the stroke.

    Where two overlap beside one another nothing comes nearer than their distance across, wherever they overlap most.
    """
    first, last = pair.poses
    cores = [course.core(m)[first : last + 1] for m in pair.moving]
    one, *two = (Cores(c, c[0], m.piece.closed) for c, m in zip(cores, pair.moving, strict=True))
    side, lateral = general_gaps(one, pair.still or two[0], pair.radius), pair.lateral
    curve = np.asarray(in_space(lateral, side))
    if lateral > 0 and side.min() < 0:
        spots = [int(side.argmin())]
    else:
        padded = np.concatenate([[np.inf], curve, [np.inf]])
        low = (padded[1:-1] <= padded[:-2]) & (padded[1:-1] < padded[2:])
        spots = [int(k) for k in np.flatnonzero(low & (curve <= curve.min() + reach))]
    for k in spots:
        drawn = tuple(tuple(complex(z) for z in c[k]) for c in cores)
        beside = lateral > 0 and bool(side.min() < -reach)
        yield Watch(pair, spot_of(course.stroke, first + k), beside, drawn, float(curve[k]))


@dataclass(frozen=True)
class Family:
    """Gears and their driven rotation at leg-up, rad (n,). Asked for before: ``traced``, cores; ``strayed``, how much
    further parts stray than the drawn gear's."""

    gear: Gear
    up: Floats
    traced: dict[tuple[Moving, Spot], Complexes] = field(default_factory=dict)
    strayed: dict[int, Floats] = field(default_factory=dict)

    def core(self, one: Moving, spot: Spot) -> Complexes:
        """Core (poses, n, points) of a part at a spot."""
        key = (one, spot)
        if key not in self.traced:
            drive = self.gear.drive_sense * spot.driven(self.up)
            points = trace(self.gear.plan, drive, one.points(self.gear))
            shape = (len(points), len(self.up), points.shape[2])
            self.traced[key] = np.broadcast_to(points, shape).T
        return self.traced[key]


def gaps_at(watch: Watch, family: Family) -> Floats:
    """Side-view gap (n,) of a family at a watched place, mm."""
    if watch.beside:
        return np.where(np.isnan(family.up), np.nan, -np.inf)
    pair = watch.pair
    one, *two = (
        [Cores(z, np.array(drawn), m.piece.closed) for z in family.core(m, watch.spot)]
        for m, drawn in zip(pair.moving, watch.drawn, strict=True)
    )
    others: Sequence[Cores | Still] = [pair.still] * len(one) if pair.still else two[0]
    columns = [signed_gaps(a, b, pair.radius, pair.lateral <= 0) for a, b in zip(one, others, strict=True)]
    return least_at(np.stack(columns, axis=1), *watch.spot.beyond(family.up))


def least_at(y: Floats, low: Floats | float = -1.0, high: Floats | float = 1.0) -> Floats:
    """Least value (n,) of what is looked at at a spot (n, 1) or (n, 3).

    Of three the least of the parabola through them between ``low`` and ``high``, in steps from the middle one: the
    poses are exact, the parabola is off by terms of the third order in the distance between them.
    """
    if y.shape[1] == 1:
        return y[:, 0]
    bend = y[:, 0] - 2.0 * y[:, 1] + y[:, 2]
    slope = 0.5 * (y[:, 2] - y[:, 0])
    at = np.clip(-slope / np.where(bend > 0, bend, np.inf), low, high)
    return np.asarray(np.minimum(y.min(axis=1), y[:, 1] + slope * at + 0.5 * bend * at * at))
