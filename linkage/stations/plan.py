"""Both stations at once: where nose wheel and mains may be together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.stations.intervals import Interval, mains_interval, nose_interval
from linkage.stations.site import Site

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StationPlan:
    """FS of the ground contacts, mm. For each station ``mains`` (n,) of the main wheels, the nose wheel may stand from
    ``forward`` to ``aft``: infinite where nothing ends it, NaN where it may stand nowhere. ``lines``: by limit, the
    nose station at which it ends (NaN where it does not). ``levels``: limits that end the mains alone, by their
    station.
    """

    chosen: tuple[float, float]
    mains: FloatArray
    forward: FloatArray
    aft: FloatArray
    lines: dict[str, FloatArray]
    levels: dict[str, float]


def station_plan(s: Site, reach: float, count: int = 41) -> StationPlan:
    """Mains moved by up to ``reach`` mm either way; every row is an exact interval of ``nose_interval``."""
    shifts = np.linspace(-reach, reach, count)
    free = reach if s.stance.wheelbase_mm > reach else 0.9 * s.stance.wheelbase_mm
    rows = [nose_interval(s, max(float(y), -free)) for y in shifts]
    names = list(dict.fromkeys(b.limit for row in rows for b in row.bounds))
    lines = {name: np.array([_station(row, name) for row in rows]) for name in names}
    alone = mains_interval(s)
    levels = {b.limit: b.at for b in alone.bounds if b.limit not in lines}
    stations = np.array([(s.stance.main + y * s.stance.direction).real for y in shifts])
    chosen = (s.stance.nose.real, s.stance.main.real)
    return StationPlan(chosen, stations, *_ends(rows), lines, levels)


def _station(row: Interval, name: str) -> float:
    return next((b.at for b in row.bounds if b.limit == name), np.nan)


def _ends(rows: Sequence[Interval]) -> tuple[FloatArray, FloatArray]:
    ends = np.array([(_at(row, "forward", -np.inf), _at(row, "aft", np.inf)) for row in rows])
    ends[[row.empty for row in rows]] = np.nan
    return ends[:, 0], ends[:, 1]


def _at(row: Interval, side: str, nothing: float) -> float:
    bound = row.forward if side == "forward" else row.aft
    return bound.at if bound is not None else nothing
