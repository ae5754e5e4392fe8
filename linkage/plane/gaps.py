"""Least gap of a moving body, as a bracket that is proved between the samples too.

A body is a core (one point, an open chain or a filled outline) grown by a disc. Gap = distance in space, negative =
depth of contact; `linkage.plane.contact` says what exactly the signed gap of one position is. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from linkage.plane.contact import areal, deepest_bound, eroded_outer, overlap, signed
from linkage.plane.outer import QUIET, EnvelopeError
from linkage.plane.outlines import shapes_of
from linkage.plane.ruled import Complexes, Floats, largest, relative_distance, strip_distance

CoreAt = Callable[[Floats], ArrayLike]
SlackOf = Callable[[Floats, Floats], ArrayLike]

FIRST_CELLS = 16
MAX_CELLS = 200_000

DEEPEST_SAMPLES = 33
DEEPEST_ROUNDS = 4
"""The deepest contact is looked for among so many samples, then between the neighbours of the deepest, and so on."""

DEPTH_STEPS = (0.5, 2.0, 8.0, 32.0, 128.0)
"""Brackets below the deepest sample at which a proof is tried that nothing is deeper."""

CLEAR = 1e-9
"""mm. Less is no proof of being clear."""


@dataclass(frozen=True)
class Gap:
    """Bracket of the least signed gap over an interval, mm: ``lower <= truth <= upper``, in contact too.

    `upper` is the signed gap at the parameter `at`; `lower` is proved for the whole interval, given the slack. While
    the cores stay clear of each other, ``upper - lower`` is at most the bracket asked for. When a core is in touch,
    `upper` is the deepest sample (never too deep) and `lower` may be looser: against a fixed obstacle half a bracket or
    a few (more where a filled core covers the obstacle's deepest parts), between two moving bodies of which one is
    filled a mere bound by size. ``lower > 0`` proves a gap, ``upper < 0`` proves contact.
    """

    lower: float
    upper: float
    at: float


@QUIET
def gap_curve(core: ArrayLike, closed: bool, radius: float, obstacle: Any) -> Floats:
    """Signed gap (k,) of cores (k, m) to a shapely geometry."""
    return signed(shapes_of(core, closed), np.array([obstacle], dtype=object), radius)


@QUIET
def nearest_pair(core: ArrayLike, closed: bool, radius: float, obstacle: Any) -> tuple[complex, complex]:
    """Points of the body's border and of the obstacle between which the signed gap of a core (m,) is measured.

    Their distance is the size of the signed gap. In contact they are the body's deepest point and the obstacle's border
    next to it; where no direction is defined (core just touching) both are the point of touch.
    """
    shape = shapes_of(np.atleast_1d(np.asarray(core, dtype=complex))[None, :], closed)[0]
    own, other = _shortest(shape, obstacle)
    outwards = 1.0
    if own == other:
        points, _, depth = overlap(np.array([shape]), np.array([obstacle]))
        if depth.size and depth.max() > 0.0:
            deepest = complex(points[np.argmax(depth)])
            border = shapely.boundary(areal(np.array([obstacle]))[0])
            own, other = _shortest(shapely.Point(deepest.real, deepest.imag), border)
            outwards = -1.0
    if own == other:
        return own, own
    return own + outwards * radius * (other - own) / abs(other - own), other


def _shortest(a: Any, b: Any) -> tuple[complex, complex]:
    (x0, y0), (x1, y1) = shapely.get_coordinates(shapely.shortest_line(a, b))
    return complex(x0, y0), complex(x1, y1)


@QUIET
def least_gap(
    core_at: CoreAt,
    slack_of: SlackOf,
    closed: bool,
    radius: float,
    obstacle: Any,
    lo: float,
    hi: float,
    bracket: float = 0.05,
) -> Gap:
    """Least signed gap of a moving body to a fixed obstacle over the parameter interval `lo`..`hi`.

    core_at(t (k,)) -> (k, m) complex; slack_of(lo (k,), hi (k,)) -> (k,) proved bound of every core vertex' distance
    from the straight interpolation between the ends of a cell, infinite where it cannot tell. Where a bracket cannot
    be reached, `EnvelopeError` names the place.
    """
    if shapely.is_empty(obstacle):
        raise ValueError("the obstacle is an empty geometry: there is no gap to it")
    size = deepest_bound(obstacle)

    def nothing_deeper(depth: float) -> bool:
        core = eroded_outer(obstacle, depth, bracket / 8)
        return shapely.is_empty(core) or _is_clear(_past(core_at, slack_of, closed, 0.0, core), lo, hi)

    body = _past(core_at, slack_of, closed, radius, obstacle)
    return _least(body, lo, hi, bracket, nothing_deeper, lambda _: size)


def _past(core_at: CoreAt, slack_of: SlackOf, closed: bool, radius: float, obstacle: Any) -> _Body:
    """A body that moves past a fixed obstacle."""

    def travel(first: Complexes, last: Complexes) -> Floats:
        return largest(last - first)

    def strips(first: Complexes, last: Complexes) -> Floats:
        return strip_distance(first, last, closed, closed, obstacle)

    return _Body(core_at, slack_of, lambda core: gap_curve(core, closed, radius, obstacle), travel, strips, radius)


@QUIET
def least_gap_between(
    core_a_at: CoreAt,
    core_b_at: CoreAt,
    slack_a: SlackOf,
    slack_b: SlackOf,
    closed_a: bool,
    closed_b: bool,
    radius_a: float,
    radius_b: float,
    lo: float,
    hi: float,
    bracket: float = 0.05,
) -> Gap:
    """Least signed gap between two moving bodies; arguments and guarantee as in `least_gap`.

    When the cores are in touch, the depth is that of core a in a filled core b, else of core b in a filled core a. The
    bound by size then takes a filled core to be rigid.
    """
    m = np.asarray(core_a_at(np.array([lo]))).shape[1]
    radius = radius_a + radius_b

    def cores(t: Floats) -> Complexes:
        return np.concatenate([np.asarray(core_a_at(t)), np.asarray(core_b_at(t))], axis=1)

    def slack(left: Floats, right: Floats) -> Floats:
        return np.add(slack_a(left, right), slack_b(left, right), dtype=float)

    def gap(core: Complexes) -> Floats:
        a, b = shapes_of(core[:, :m], closed_a), shapes_of(core[:, m:], closed_b)
        return signed(a, b, radius) if closed_b or not closed_a else signed(b, a, radius)

    def travel(first: Complexes, last: Complexes) -> Floats:
        step = last - first
        return largest((step[:, :m, None] - step[:, None, m:]).reshape(step.shape[0], -1))

    def strips(first: Complexes, last: Complexes) -> Floats:
        return relative_distance((first[:, :m], first[:, m:]), (last[:, :m], last[:, m:]), closed_a, closed_b)

    def size(core: Complexes) -> float:
        filled = core[:, m:] if closed_b else core[:, :m]
        return float(np.abs(filled - filled[:, :1]).max()) if closed_a or closed_b else 0.0

    body = _Body(cores, slack, gap, travel, strips, radius)
    return _least(body, lo, hi, bracket, lambda _: False, size)


@dataclass(frozen=True)
class _Body:
    """What the search needs to know; `travel` and `strips` take the cores at the two ends of cells."""

    core_at: CoreAt
    slack_of: SlackOf
    gap: Callable[[Complexes], Floats]
    travel: Callable[[Complexes, Complexes], Floats]
    """Longest way of any point (seen from any point of the other body)."""
    strips: Callable[[Complexes, Complexes], Floats]
    """Least distance of what the edges sweep on straight ways; says nothing about lying inside."""
    radius: float


@dataclass(frozen=True)
class _Cells:
    left: Floats
    right: Floats
    first: Complexes
    last: Complexes
    gap_first: Floats
    gap_last: Floats


def _least(
    body: _Body,
    lo: float,
    hi: float,
    bracket: float,
    nothing_deeper: Callable[[float], bool],
    size: Callable[[Complexes], float],
) -> Gap:
    lower, upper, at = _search(body, lo, hi, lambda best: best - bracket)
    if lower is not None:
        return Gap(float(min(lower, upper)), upper, at)
    upper, at, bound = _deepest(body, lo, hi, upper, at, size)
    depth = -(upper + body.radius)
    tries = [depth + bracket * step for step in DEPTH_STEPS if depth + bracket * step < bound]
    proved = next((d for d in tries if nothing_deeper(d)), max(bound, depth))
    return Gap(float(-(body.radius + proved)), upper, at)


def _is_clear(body: _Body, lo: float, hi: float) -> bool:
    """Proof that the core never meets the obstacle; False also when there is none."""
    try:
        lower, _, _ = _search(body, lo, hi, lambda _: CLEAR)
    except EnvelopeError:
        return False
    return lower is not None


def _search(body: _Body, lo: float, hi: float, wanted: Callable[[float], float]) -> tuple[float | None, float, float]:
    """Cut up those cells only whose lower bound is below what is `wanted` in view of the best sample.

    Returns the proved lower bound, the best sample and its place; no bound as soon as a core is in touch.
    """
    t = np.linspace(lo, hi, FIRST_CELLS + 1 if hi > lo else 2)
    core = np.asarray(body.core_at(t), dtype=complex)
    gap = body.gap(core)
    cells = _Cells(t[:-1], t[1:], core[:-1], core[1:], gap[:-1], gap[1:])
    best, place = float(gap.min()), float(t[gap.argmin()])
    lowest, used = np.inf, 0
    while cells.left.size and best > -body.radius:
        used += cells.left.size
        enough = wanted(best)
        low = _lower(body, cells, enough)
        keep = low < enough
        lowest = min(lowest, float(low[~keep].min(initial=np.inf)))
        _check_room(cells, low, used)
        cells, t, gap = _halves(body, cells, keep)
        if gap.size and gap.min() < best:
            best, place = float(gap.min()), float(t[gap.argmin()])
    return (lowest if best > -body.radius else None), best, place


def _lower(body: _Body, cells: _Cells, enough: float) -> Floats:
    """Proved lower bounds of the cells: from the way travelled, and where that is not enough, from the swept strips.

    Both ends are clear of the obstacle. If the strips are clear too, no edge on its straight way meets the obstacle,
    and the true core is never farther than the slack from the straight one.
    """
    slack = np.nan_to_num(np.asarray(body.slack_of(cells.left, cells.right), dtype=float), nan=np.inf, posinf=np.inf)
    low = (cells.gap_first + cells.gap_last - body.travel(cells.first, cells.last)) / 2 - slack
    unsure = np.flatnonzero((low < enough) & np.isfinite(slack))
    if unsure.size:
        apart = body.strips(cells.first[unsure], cells.last[unsure])
        known = np.minimum(apart, cells.gap_first[unsure] + body.radius) - body.radius - slack[unsure]
        low[unsure] = np.where(apart > 0, np.maximum(low[unsure], known), low[unsure])
    return np.asarray(low)


def _halves(body: _Body, cells: _Cells, keep: NDArray[np.bool_]) -> tuple[_Cells, Floats, Floats]:
    """The kept cells cut in the middle, and the parameters and gaps of the new places."""
    left, right, first, last = cells.left[keep], cells.right[keep], cells.first[keep], cells.last[keep]
    if not left.size:
        return _Cells(left, right, first, last, left, right), left, left
    t = (left + right) / 2
    core = np.asarray(body.core_at(t), dtype=complex)
    gap = body.gap(core)
    starts = (left, t), (first, core), (cells.gap_first[keep], gap)
    ends = (t, right), (core, last), (gap, cells.gap_last[keep])
    (lefts, firsts, gap_first), (rights, lasts, gap_last) = ([np.concatenate(p) for p in s] for s in (starts, ends))
    return _Cells(lefts, rights, firsts, lasts, gap_first, gap_last), t, gap


def _check_room(cells: _Cells, low: Floats, used: int) -> None:
    width = cells.right - cells.left
    tight = (width <= 1e-13 * (np.abs(cells.left) + np.abs(cells.right))) & (width > 0)
    if used <= MAX_CELLS and not tight.any():
        return
    worst = int(np.argmin(low))
    raise EnvelopeError(
        f"the gap near {cells.left[worst]:.9g} is only known to lie above {low[worst]:.6g} mm after {used} cells"
    )


def _deepest(
    body: _Body, lo: float, hi: float, best: float, place: float, size: Callable[[Complexes], float]
) -> tuple[float, float, float]:
    """Deepest sample, found by looking closer and closer, its place, and a bound of any depth by size."""
    left, right, bound = lo, hi, 0.0
    for _ in range(DEEPEST_ROUNDS):
        t = np.linspace(left, right, DEEPEST_SAMPLES)
        core = np.asarray(body.core_at(t), dtype=complex)
        gap = body.gap(core)
        bound = max(bound, size(core))
        if gap.min() < best:
            best, place = float(gap.min()), float(t[gap.argmin()])
        step = t[1] - t[0]
        left, right = max(lo, place - step), min(hi, place + step)
    return best, place, bound
