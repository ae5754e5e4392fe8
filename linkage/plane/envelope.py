"""Regions swept by moving outlines, never smaller than the truth.

A body in the plane is a core (one point, an open chain or a filled outline) grown by a disc. Growing and sweeping may
be exchanged, so the core is swept and the disc comes last. Points are complex, mm.

What holds the sweep of a filled outline: its position at the start, and what its edges sweep while they move outwards.
(A point of the final region that was not in the first position was reached by an edge, and at its last crossing the
edge moved outwards.) The same argument serves outlines that change shape, as long as they stay simple.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike

from linkage.plane.outer import QUIET, EnvelopeError, buffer_outer, cover_outer, union_outer
from linkage.plane.outlines import shapes_of, xy
from linkage.plane.ruled import Complexes, Floats, anticlockwise, edges_of
from linkage.plane.strips import swept_by_edges
from linkage.plane.vectors import dot

__all__ = [
    "EnvelopeError",
    "buffer_outer",
    "refine",
    "slack_target",
    "sweep_cells",
    "sweep_turning",
    "union_outer",
]

SLACK_SHARE = 0.28
"""Part of a tolerance given to the chord error. It counts once for the inflation, and up to 1.6 times for chords that
run inside a concave border and for folds."""

LONGEST_TURN = 2.0
"""rad. A longer turn is swept in pieces, so that no ring goes around and meets itself."""


def slack_target(tol: float) -> float:
    """Chord error (mm) at which `sweep_cells(..., tol)` keeps its whole excess within about `tol` (mm)."""
    return SLACK_SHARE * tol


@QUIET
def sweep_turning(
    core: ArrayLike, closed: bool, pivot: complex, lo: float, hi: float, radius: float, tol: float
) -> Any:
    """Region swept by a body that turns about a fixed pivot from `lo` to `hi` (rad) relative to the drawn core.

    core: (m,) complex, mm: one point, an open chain, or with `closed` a filled simple outline; grown by a disc of
    `radius`. Guaranteed outer (exact arcs, certified growth); the excess is within about `tol`. No time law is needed.
    """
    z = (np.atleast_1d(np.asarray(core, dtype=complex)) - pivot) * np.exp(1j * min(lo, hi))
    if closed:
        z = anticlockwise(z[None, :])[0][0]
    span, sag = abs(hi - lo), SLACK_SHARE * tol
    if z.size == 1:
        steps = _arc_steps(abs(z[0]), span, sag)
        chord_error = abs(z[0]) * (1 - math.cos(span / steps / 2))
        return cover_outer(_path(pivot + z[0] * _turns(span, steps)), radius + chord_error, tol - 2 * sag)
    pieces = [_filled(pivot + z)] if closed else [shapely.linestrings(xy(pivot + z))]
    pieces += [shapely.linestrings(xy(pivot + z * np.exp(1j * span)))] if not closed else []
    count = math.ceil(span / LONGEST_TURN)
    for k in range(count):
        turned = z * np.exp(1j * span * k / count)
        for start, end in _monotone_edges(turned, closed):
            pieces.append(_turned_edge(pivot, start, end, span / count, sag))
    return cover_outer(pieces, radius, tol - sag)


def _monotone_edges(z: Complexes, closed: bool) -> list[tuple[complex, complex]]:
    """Edges cut at the foot of the perpendicular from the pivot at 0; of a filled outline only those that lead.

    With the pivot anticlockwise turning, an edge of an anticlockwise outline moves outwards where the way along it
    comes nearer to the pivot.
    """
    a, b = edges_of(z, closed)
    d = b - a
    length = np.maximum(np.abs(d) ** 2, 1e-300)
    foot = np.clip(-dot(a, d) / length, 0.0, 1.0)
    middle = a + foot * d
    return [
        (complex(p), complex(q))
        for starts, ends, leads in ((a, middle, True), (middle, b, not closed))
        for p, q in zip(starts, ends, strict=True)
        if leads and abs(q - p) > 0.0
    ]


def _turned_edge(pivot: complex, start: complex, end: complex, span: float, sag: float) -> Any:
    """Ring around what a radially monotone edge (relative to the pivot) sweeps: chords inside, tangents outside."""
    near, far = sorted((start, end), key=abs)
    inner = near * _turns(span, _arc_steps(abs(near), span, sag))
    steps = _arc_steps(abs(far), span, sag)
    half = span / steps / 2
    outer = far / math.cos(half) * np.exp(1j * half * (2 * np.arange(steps) + 1))
    ring = np.concatenate([[near, far], outer, [far * np.exp(1j * span)], inner[::-1]])
    return shapely.polygons(xy(pivot + ring))


def _arc_steps(radius: float, span: float, sag: float) -> int:
    return max(1, math.ceil(span / math.sqrt(8 * sag / radius))) if radius > sag else max(1, math.ceil(span))


def _turns(span: float, steps: int) -> Complexes:
    return np.asarray(np.exp(1j * np.linspace(0.0, span, steps + 1)))


@QUIET
def sweep_cells(core: ArrayLike, closed: bool, slack: ArrayLike, radius: float, tol: float) -> Any:
    """Region swept by a body whose core is known at the ends of n cells of the motion.

    core: (n + 1, m) complex, mm, the vertices at the cell ends; one point, an open chain, or with `closed` a filled
    outline, grown by a disc of `radius`. The vertices need not move rigidly; a filled outline must stay simple.
    slack: (n,) mm, proved bound, in each cell, of the distance of every vertex from the straight and common
    interpolation between the cell's ends: it then holds for every point of every edge.
    Guaranteed outer (given the slack); the excess is within about 2.6 times the largest slack + tol / 4.
    """
    path = np.asarray(core, dtype=complex)
    reach = radius + float(np.max(np.asarray(slack, dtype=float), initial=0.0))
    if not (math.isfinite(reach) and np.all(np.isfinite(path))):
        raise EnvelopeError("a sweep needs finite points at the ends of every cell, and a finite slack in it")
    if path.shape[1] == 1:
        return cover_outer(_path(path[:, 0]), reach, tol)
    first = shapes_of(path[:1], False)
    if closed:
        (path,) = anticlockwise(path)
        first = np.array([_filled(path[0])])
    pieces, fewer = swept_by_edges(path, closed)
    return cover_outer(np.append(pieces, first), reach, tol, np.append(fewer, first))


def _filled(ring: Complexes) -> Any:
    made = shapely.polygons(xy(ring))
    if not made.is_valid:
        raise EnvelopeError(f"the outline is not simple: {shapely.is_valid_reason(made)}")
    return made


def _path(points: Complexes) -> list[Any]:
    moved = points[np.concatenate([[True], np.abs(np.diff(points)) > 0])]
    return [shapely.linestrings(xy(moved)) if moved.size > 1 else shapely.Point(*xy(moved)[0])]


def refine(
    bound: Callable[[Floats, Floats], ArrayLike],
    lo: float,
    hi: float,
    target: float,
    max_cells: int = 20_000,
    start: int = 8,
) -> tuple[Floats, Floats]:
    """Cut `lo`..`hi` into cells whose slack is at most `target`.

    bound(lo (k,), hi (k,)) -> (k,) slack in mm of each cell; infinite or NaN where it cannot tell. Returns the cell
    ends (n + 1,) and the slacks (n,). `EnvelopeError` names the place when `max_cells` or the resolution of numbers
    runs out.
    """
    marks = np.linspace(lo, hi, start + 1 if hi > lo else 2)
    left, right = marks[:-1], marks[1:]
    done: list[tuple[Floats, Floats]] = []
    count = 0
    while left.size:
        slack = np.nan_to_num(np.asarray(bound(left, right), dtype=float), nan=np.inf, posinf=np.inf)
        good = slack <= target
        done.append((left[good], slack[good]))
        count += int(good.sum())
        left, right, slack = left[~good], right[~good], slack[~good]
        if left.size:
            _check_room(left, right, slack, target, count, max_cells)
            left, right = _split(left, right, slack / target)
    order = np.argsort(np.concatenate([cell for cell, _ in done]), kind="stable")
    starts = np.concatenate([cell for cell, _ in done])[order]
    return np.append(starts, hi), np.concatenate([s for _, s in done])[order]


def _check_room(left: Floats, right: Floats, slack: Floats, target: float, count: int, max_cells: int) -> None:
    tight = right - left <= 1e-12 * np.maximum(np.abs(left), np.abs(right))
    if count + 2 * left.size <= max_cells and not tight.any():
        return
    worst = int(np.argmax(np.where(tight, np.inf, slack)))
    raise EnvelopeError(
        f"between {left[worst]:.9g} and {right[worst]:.9g} the bound is still {slack[worst]:.3g} mm "
        f"where {target:.3g} mm are wanted ({count} cells done, {left.size} open, at most {max_cells})"
    )


def _split(left: Floats, right: Floats, excess: Floats) -> tuple[Floats, Floats]:
    """Cut each cell into 2 to 4, as many as a slack falling with the square of the length would need."""
    ratio = np.sqrt(np.where(np.isfinite(excess), excess, 1.0))
    parts = np.clip(np.ceil(1.02 * ratio), 2, 4).astype(int)
    owner = np.repeat(np.arange(left.size), parts)
    place = np.arange(owner.size) - np.repeat(np.cumsum(parts) - parts, parts)
    width = (right - left)[owner]
    start = left[owner] + width * (place / parts[owner])
    stop = left[owner] + width * ((place + 1) / parts[owner])
    return start, np.where(place + 1 == parts[owner], right[owner], stop)
