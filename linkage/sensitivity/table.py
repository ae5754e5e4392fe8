"""Solution -> Sensitivity: the derivative of every result by every dimension, and the tolerances they allow."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.errors import DocumentError, Fault
from linkage.mechanism.model import Floats
from linkage.plane.duals import Dual, value_of
from linkage.sensitivity.bounds import bounds
from linkage.sensitivity.dimensions import Dimension, dimensions
from linkage.sensitivity.gaps import gaps
from linkage.sensitivity.model import Bound, Found, Rival
from linkage.sensitivity.moving import moving
from linkage.sensitivity.seeded import end_pace, seeded
from linkage.sensitivity.standing import standing
from linkage.solution import Solution

WORST = 10
NOUGHT = 1e-11
"""Part of a result's greatest derivative below which one is rounding, all in inside units."""

ROUNDING = 1e-9
"""Part by which a rival has to meet a bound before the result does."""


@dataclass(frozen=True)
class Row:
    """One dimension of one result, in the study's own unit of the dimension.

    ``derivative``: result's unit per unit of the dimension; ``allowed``: half range within which the nearest bound
    holds while all others are exact (infinite: nothing bounds it; nought: already short); ``stated``: what the study
    states, None where it states none; ``used``: stated / allowed; ``kink``: places or loadings that tie do not agree
    on this derivative, the greatest in size is given; ``governing``: the place, pair or loading that would be the
    extreme by then and meets the bound first, empty where it is the present one.
    """

    dimension: Dimension
    derivative: float
    allowed: float
    stated: float | None
    kink: bool = False
    governing: str = ""

    @property
    def used(self) -> float | None:
        """None also where nothing is left to use."""
        if self.stated is None or math.isinf(self.allowed) or self.allowed == 0:
            return None
        return self.stated / self.allowed

    @property
    def too_wide(self) -> bool:
        return (self.used or 0.0) > 1.0


@dataclass(frozen=True)
class Line:
    """One result. ``rows``: every dimension that moves it or one of its rivals, that which may vary least first, or
    where nothing bounds it that of greatest effect; empty where there is no derivative and ``tied`` says why.
    ``corner`` and ``spread``: what all stated tolerances do to it together, all at their worst ends, and as the root of
    the sum of squares; in the result's unit."""

    name: str
    title: str
    unit: str
    value: float
    rows: tuple[Row, ...]
    bounds: tuple[Bound, ...]
    tied: str
    note: str
    corner: float
    spread: float

    @property
    def worst(self) -> tuple[Row, ...]:
        return self.rows[:WORST]

    @property
    def margin(self) -> float | None:
        return self.bounds[0].margin if self.bounds else None


@dataclass(frozen=True)
class Sensitivity:
    """``idle``: dimensions that move none of the results; ``stated``: the study has tolerances at all; ``exact``:
    names of those tolerances that are nought or left out beside others, which takes their dimensions as exact."""

    title: str
    lines: tuple[Line, ...]
    dimensions: tuple[Dimension, ...]
    idle: tuple[str, ...]
    stated: bool
    exact: tuple[str, ...]

    def line(self, name: str) -> Line:
        return next(x for x in self.lines if x.name == name)


def sensitivity(solution: Solution, names: Sequence[str] = ()) -> Sensitivity:
    """All results, or those named. Raises ``DocumentError`` for a name that there is not."""
    r = solution.results
    dims = dimensions(r.study)
    if not any(d.tolerance for d in dims):
        dims = tuple(replace(d, tolerance=None, stated="") for d in dims)
    found = list(_found(solution, dims))
    known = [f.name for f in found]
    wanted = [hit for name in names for hit in _named(name, known)] or known
    lines = tuple(_line(solution, f, dims) for f in found if f.name in wanted)
    moving_any = {row.dimension.name for line in lines for row in line.rows}
    said = {d.stated: d.tolerance for d in dims if d.tolerance is not None}
    return Sensitivity(
        r.study.title,
        lines,
        dims,
        tuple(d.name for d in dims if d.name not in moving_any),
        bool(said),
        tuple(sorted(name for name, size in said.items() if size == 0)),
    )


def _found(solution: Solution, dims: tuple[Dimension, ...]) -> Iterator[Found]:
    r = solution.results
    s = seeded(r.study, r.gear, dims)
    pace = end_pace(s, r.stroke.driven_up)
    moved = {f.name: f for f in moving(r, s, pace)}
    yield from moved.values()
    yield from standing(r, s, moved["cg_shift_on_retraction_kg_mm"].number)
    yield from gaps(r, s, pace)


def _named(name: str, known: Sequence[str]) -> list[str]:
    """The result of that name, or all whose name has it as a part."""
    if name in known:
        return [name]
    hits = [k for k in known if name and name.lower() in k.lower()]
    if hits:
        return hits
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.4) or list(known)
    raise DocumentError([Fault("--result", repr(name), f"one of {', '.join(repr(n) for n in near)}")], "command line")


def _line(solution: Solution, found: Found, dims: tuple[Dimension, ...]) -> Line:
    limits = bounds(found.name, solution.results, solution.findings)
    number = found.number if isinstance(found.number, Dual) else Dual(found.number, np.zeros(len(dims)))
    single = found.tied and not found.others  # nothing to compare with: no derivative
    rows = () if single else tuple(_rows([number, *found.others], found.rivals, dims, limits))
    moves = [abs(row.derivative) * row.stated for row in rows if row.stated is not None]
    return Line(
        found.name,
        found.title,
        found.unit,
        float(value_of(number)),
        rows,
        limits,
        found.tied,
        found.note,
        math.fsum(moves),
        math.hypot(*moves),
    )


def _rows(
    numbers: Sequence[Dual], rivals: Sequence[Rival], dims: tuple[Dimension, ...], limits: tuple[Bound, ...]
) -> Iterator[Row]:
    """By what they may vary by, and by effect where nothing bounds them or nothing is left."""
    slopes = _slopes(numbers)
    size = np.abs(slopes).max(axis=0)
    nought = NOUGHT * size.max(initial=0.0)
    own = size > nought
    room, governing = _room(numbers[0], size * own, rivals, limits)
    for i in np.lexsort((-size * own, room)):
        if not own[i] and math.isinf(room[i]):
            continue
        dim, column = dims[int(i)], slopes[:, i]
        derivative = float(column[np.abs(column).argmax()]) * dim.factor if own[i] else 0.0
        kink = bool(own[i] and np.ptp(column) > NOUGHT * size[i] + nought)
        stated = None if dim.tolerance is None else dim.tolerance / dim.factor
        yield Row(dim, derivative, float(room[i]) / dim.factor, stated, kink, governing[int(i)])


def _slopes(numbers: Sequence[Dual]) -> Floats:
    return np.array([np.real(n.slope) for n in numbers], dtype=np.float64)


def _room(number: Dual, size: Floats, rivals: Sequence[Rival], limits: tuple[Bound, ...]) -> tuple[Floats, list[str]]:
    """How far each dimension may go, inside units, until the result or the first of its rivals is at the nearest bound,
    each on its own straight line; and which rival that is, where it is one. ``size``: of the result's own slopes."""
    if not limits:
        return np.full(len(size), math.inf), [""] * len(size)
    margin = limits[0].margin
    if margin < 0.0:
        return np.where(size > 0.0, 0.0, math.inf), [""] * len(size)
    slopes = np.abs(_slopes([x.number for x in rivals]).reshape(len(rivals), len(size)))
    apart = [abs(float(value_of(x.number)) - float(value_of(number))) for x in rivals]
    ways = np.vstack([size, np.where(slopes > NOUGHT * slopes.max(axis=1, initial=0.0)[:, None], slopes, 0.0)])
    margins = margin + np.array([0.0, *apart])[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        rooms = np.where(ways > 0.0, margins / ways, math.inf)
    rooms[1:][rooms[1:] > rooms[0] * (1.0 - ROUNDING)] = math.inf
    names = ["", *(x.which for x in rivals)]
    return rooms.min(axis=0), [names[k] for k in rooms.argmin(axis=0)]
