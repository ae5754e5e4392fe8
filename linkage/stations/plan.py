"""Both stations at once: where nose wheel and mains may be together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.stations.intervals import Bound, Interval, mains_interval, nose_interval
from linkage.stations.site import Side, Site

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Line:
    """A limit over both stations: past ``nose`` (n,) towards ``side`` it is broken; infinite where nothing ends it, or
    where the mains are in a place at which no station of the nose wheel will do."""

    limit: str
    side: Side
    nose: FloatArray


@dataclass(frozen=True, eq=False)
class StationPlan:
    """FS of the ground contacts, mm. ``mains`` (n,): stations of the main wheels for which each line tells its place.

    ``levels``: limits that end the mains alone. ``broken``: limits that hold nowhere. ``chosen``: nose, mains.
    """

    chosen: tuple[float, float]
    mains: FloatArray
    lines: tuple[Line, ...]
    levels: tuple[Bound, ...]
    broken: tuple[str, ...]


def station_plan(s: Site, reach: float, count: int = 41) -> StationPlan:
    """Mains moved by up to ``reach`` mm either way, less where they would meet the nose wheel. Every row is exact."""
    least = max(-reach, -0.9 * s.stance.wheelbase_mm)
    shifts = np.linspace(least, reach, count)
    rows = [nose_interval(s, float(y)) for y in shifts]
    sides = {b.limit: b.side for row in rows for b in row.bounds}
    lines = tuple(Line(name, side, np.array([_place(row, name, side) for row in rows])) for name, side in sides.items())
    alone = mains_interval(s)
    levels = tuple(b for b in alone.bounds if b.limit not in sides)
    known = {*sides, *(b.limit for b in levels)}
    return StationPlan(
        (s.stance.nose.real, s.stance.main.real),
        np.array([(s.stance.main + y * s.stance.direction).real for y in shifts]),
        lines,
        levels,
        tuple(f.limit for f in alone.fixed if not f.holds and f.limit not in known),
    )


def _place(row: Interval, name: str, side: Side) -> float:
    """Where the limit ends the nose station in a row: infinite on that side if nowhere, on the other if everywhere."""
    bound = next((b for b in row.bounds if b.limit == name), None)
    if bound is not None:
        return bound.at
    held = all(f.holds for f in row.fixed if f.limit == name)
    return (np.inf if side == "aft" else -np.inf) if held else (-np.inf if side == "aft" else np.inf)
