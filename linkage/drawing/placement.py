"""Where labels go: every place on the sheet is tried, the cheapest wins, and the result is the same every time.

A label pays for what it covers (other labels most, lines much, fills little) and for its leader: length, lines crossed,
labels and other leaders crossed. Labels are placed one after the other, the hardest first; then each in turn may move
again with all the others standing, and the unluckiest may choose first while their neighbours make room. The weights
below are judged by eye on crowded sheets; they are matters of looks and touch no result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString

from linkage.drawing.ink import CELL, Ink, Mask, running_sums, window_sums

LONGLIST, SHORTLIST, SAMPLES = 4000, 160, 48
HOPELESS = 60.0
"""A place that covers this much is worse than a leader across the whole sheet."""

SHOULDER = 2.2
"""Length of the level piece where a leader meets its text, mm of paper."""

W_TEXT, W_LINE, W_FILL, W_UNDER_LEADER = 240.0, 3.2, 0.2, 8.0
"""Per cell covered by a label."""

W_LENGTH, W_CROSS_LINE, W_CROSS_FILL, W_CROSS_TEXT, W_CROSS_LEADER = 0.34, 3.0, 0.06, 60.0, 5.0
"""Per mm of leader: for itself, and over what it crosses."""

W_LEADER, W_LEVEL = 3.0, 1.5
"""For having a leader at all, and for one so level that it reads as part of the drawing."""

PASSES, RETRIES = 4, 6
NEIGHBOURS = 40.0
"""mm of paper around what an unlucky label points at, within which others make room for it."""

Places = NDArray[np.complex128]
Costs = NDArray[np.float64]


@dataclass(frozen=True)
class Request:
    """One text to place. Lengths in mm of paper.

    ``anchors`` are the places a leader may end at, ``near`` is how close to one a text explains itself, ``standoff``
    how far before it the leader stops. ``home`` marks the cells inside what the text names, where it needs no leader,
    and ``home_cost`` what that thing itself added to the fills there. A text without anchors is a free note.
    """

    width: float
    height: float
    anchors: Places
    home: Mask | None = None
    home_cost: float = 0.0
    near: float = 0.0
    standoff: float = 0.0
    urgency: float = 0.0


@dataclass(frozen=True)
class Placed:
    """Lower left corner of a text and the points of its leader from the text to the part (none when not needed)."""

    corner: complex
    leader: tuple[complex, ...] = ()


@dataclass(frozen=True)
class _Longlist:
    """The places worth trying for one request: costs without other labels, and whether no leader is needed there."""

    corners: Places
    costs: Costs
    free: Mask
    away: Costs
    """Distance to the nearest anchor."""
    cells: NDArray[np.intp]
    """Where the corners are in flat running sums."""


class _Sheet:
    """The labels placed so far and what they take up (counted, so that each can be lifted again)."""

    def __init__(self, requests: Sequence[Request], ink: Ink) -> None:
        self.requests, self.ink = requests, ink
        sums = running_sums(W_LINE * ink.lines + W_FILL * ink.fills)
        self.drawn = W_CROSS_LINE * ink.lines + W_CROSS_FILL * ink.fills
        self.lists = [_longlist(request, sums, ink) for request in requests]
        self.texts = np.zeros(ink.shape, dtype=np.float32)
        self.leaders = np.zeros(ink.shape, dtype=np.float32)
        self.placed: dict[int, Placed] = {}
        self.costs: dict[int, float] = {}

    def settle(self, which: Sequence[int]) -> bool:
        """Give each its best place while all others stand; tell whether anything moved."""
        moved = False
        for k in which:
            before = self.lift(k)
            self.put(k, *_best(self.requests[k], self.lists[k], self))
            moved |= self.placed[k] != before
        return moved

    def lift(self, k: int) -> Placed | None:
        placed = self.placed.pop(k, None)
        if placed is not None:
            self._count(k, placed, -1)
        return placed

    def put(self, k: int, placed: Placed, cost: float) -> None:
        self.placed[k], self.costs[k] = placed, cost
        self._count(k, placed, 1)

    def _count(self, k: int, placed: Placed, by: int) -> None:
        self.texts[_covered(placed.corner, self.requests[k])] += by
        if placed.leader:
            self.leaders[self.ink.along(LineString([(z.real, z.imag) for z in placed.leader]), 3)] += by

    def make_room(self, k: int) -> None:
        """Let an unlucky label choose first and its neighbours again; keep that only if all of them gain together."""
        centre = self.requests[k].anchors.mean()
        near = [
            j for j in self.placed if j != k and abs(_middle(self.placed[j], self.requests[j]) - centre) < NEIGHBOURS
        ]
        group = [k, *sorted(near, key=lambda j: -self.costs[j])]
        before = {j: (self.placed[j], self.costs[j]) for j in group}
        self.settle(group)  # so that the costs compared are those of now
        start = sum(self.costs[j] for j in group)
        for j in group:
            self.lift(j)
        for _ in range(2):
            self.settle(group)
        if sum(self.costs[j] for j in group) > start - 0.5:
            for j in group:
                self.lift(j)
            for j, (placed, cost) in before.items():
                self.put(j, placed, cost)


def place(requests: Sequence[Request], ink: Ink) -> list[Placed]:
    """Place every request; deterministic, and never outside the paper."""
    order = sorted(range(len(requests)), key=lambda k: (-requests[k].urgency, -requests[k].width, k))
    sheet = _Sheet(requests, ink)
    for _ in range(PASSES):
        if not sheet.settle(order):
            break
    unlucky = sorted((k for k in order if len(requests[k].anchors)), key=lambda k: (-sheet.costs[k], k))
    for k in unlucky[:RETRIES]:
        sheet.make_room(k)
    sheet.settle(order)
    return [sheet.placed[k] for k in range(len(requests))]


def _middle(placed: Placed, request: Request) -> complex:
    return placed.corner + complex(request.width, request.height) / 2


def _size(request: Request, shape: tuple[int, int]) -> tuple[int, int]:
    """Rows and columns of a text, never more than the paper has."""
    rows, columns = int(np.ceil(request.height / CELL)), int(np.ceil(request.width / CELL))
    return min(max(rows, 1), shape[0]), min(max(columns, 1), shape[1])


def _covered(corner: complex, request: Request) -> tuple[slice, slice]:
    row, column = round(corner.imag / CELL), round(corner.real / CELL)
    return (
        slice(row, row + int(np.ceil(request.height / CELL))),
        slice(column, column + int(np.ceil(request.width / CELL))),
    )


def _longlist(request: Request, sums: Costs, ink: Ink) -> _Longlist:
    """Price every place of the sheet by what is drawn under it and keep the most promising."""
    rows, columns = _size(request, ink.shape)
    costs = window_sums(sums, rows, columns)
    at_home = np.zeros(costs.shape, dtype=bool)
    if request.home is not None:
        shared = window_sums(running_sums(request.home), rows, columns)
        costs -= W_FILL * request.home_cost * shared
        at_home = shared > rows * columns - 0.5
    i, j = np.nonzero(costs <= max(HOPELESS, float(costs.min()) + 1.0))
    corners: Places = (j + 1j * i).astype(np.complex128) * CELL
    cells = i * (ink.shape[1] + 1) + j
    costs, at_home = costs[i, j], at_home[i, j]
    if len(request.anchors) == 0:
        keep = _cheapest(costs, LONGLIST)
        return _Longlist(corners[keep], costs[keep], np.ones(len(keep), dtype=bool), np.zeros(len(keep)), cells[keep])
    away = np.full(costs.shape, np.inf)
    for anchor in request.anchors:
        away = np.minimum(away, _gap(corners, request, anchor))
    free = at_home | (away <= request.near)
    bound = costs + np.where(free, 0.02 * away, W_LEADER + W_LENGTH * away)
    keep = _cheapest(bound, LONGLIST)
    # Of two places inside what is named, the one nearer its middle is the calmer.
    costs += np.where(free, 0.02 * away, 0.0)
    return _Longlist(corners[keep], costs[keep], free[keep], away[keep], cells[keep])


def _cheapest(costs: Costs, count: int) -> NDArray[np.intp]:
    """Return where the ``count`` least costs are, least first; of equals the first."""
    if costs.size > count:
        worst = np.partition(costs, count - 1)[count - 1]
        chosen = np.nonzero(costs <= worst)[0]
    else:
        chosen = np.arange(costs.size)
    return chosen[np.argsort(costs[chosen], kind="stable")[:count]]


def _gap(corners: Places, request: Request, point: complex) -> Costs:
    """Distance from every text box to a point."""
    dx = np.abs(point.real - corners.real - request.width / 2) - request.width / 2
    dy = np.abs(point.imag - corners.imag - request.height / 2) - request.height / 2
    return np.hypot(np.maximum(dx, 0.0), np.maximum(dy, 0.0))


def _best(request: Request, places: _Longlist, standing: _Sheet) -> tuple[Placed, float]:
    """Return the cheapest place for one text while the others stand, and what it costs."""
    taken = running_sums(W_TEXT * standing.texts + W_UNDER_LEADER * standing.leaders)
    rows, columns = _size(request, standing.drawn.shape)
    up, flat, at = rows * taken.shape[1], taken.ravel(), places.cells
    costs = places.costs + flat[at + (up + columns)] - flat[at + columns] - flat[at + up] + flat[at]
    if places.free.all():
        least = int(np.argmin(costs))
        return Placed(complex(places.corners[least])), float(costs[least])
    bound = costs + np.where(places.free, 0.0, W_LEADER + W_LENGTH * places.away)
    short = _cheapest(bound, SHORTLIST)
    corners, free = places.corners[short], places.free[short]
    touches, knees = _starts(request, corners)
    price = _leader_price(knees, request, standing)
    total = costs[short] + np.where(free, 0.0, price.min(axis=1))
    best = int(np.argmin(total))
    if free[best]:
        return Placed(complex(corners[best])), float(total[best])
    k = int(price[best].argmin())
    leader = _leader(complex(touches[best, k]), complex(knees[best, k]), request, k)
    return Placed(complex(corners[best]), leader), float(total[best])


def _starts(request: Request, corners: Places) -> tuple[Places, Places]:
    """Where a leader touches the text and where its slanted part begins, (places x anchors).

    From the nearer end of the text over a level shoulder; straight from its edge when the anchor is above or below.
    """
    anchors = request.anchors[None, :]
    left, right = corners[:, None].real, corners[:, None].real + request.width
    low, high = corners[:, None].imag, corners[:, None].imag + request.height
    aft, ahead = anchors.real > right + SHOULDER, anchors.real < left - SHOULDER
    edge = np.clip(anchors.real, left + 1.0, np.maximum(right - 1.0, left + 1.0))
    x = np.where(aft, right, np.where(ahead, left, edge))
    y = np.where(aft | ahead, (low + high) / 2, np.where(anchors.imag > (low + high) / 2, high, low))
    touch = x + 1j * y
    return touch, touch + SHOULDER * (aft.astype(float) - ahead.astype(float))


def _leader_price(knees: Places, request: Request, standing: _Sheet) -> Costs:
    """Cost of the leader from every place to every anchor."""
    way = request.anchors[None, :] - knees
    length = np.abs(way)
    raster = standing.drawn + W_CROSS_TEXT * standing.texts + W_CROSS_LEADER * standing.leaders
    i = _samples(knees.imag, way.imag, raster.shape[0])
    j = _samples(knees.real, way.real, raster.shape[1])
    crossed: Costs = raster.ravel()[i * raster.shape[1] + j].mean(axis=-1) * length
    outside = (knees.real < 0) | (knees.real > raster.shape[1] * CELL)
    level = np.abs(way.imag) < 0.12 * length
    total: Costs = W_LEADER + W_LENGTH * (length + SHOULDER) + crossed + W_LEVEL * level + 1e3 * outside
    return total


def _samples(start: Costs, way: Costs, count: int) -> NDArray[np.int32]:
    """Cells, of ``count``, that leaders pass in one direction."""
    t = (np.arange(SAMPLES) + 0.5) / SAMPLES
    cells = (start[..., None] + way[..., None] * t) / CELL
    return np.clip(cells.astype(np.int32), 0, count - 1)


def _leader(touch: complex, knee: complex, request: Request, k: int) -> tuple[complex, ...]:
    tip = complex(request.anchors[k])
    length = abs(tip - knee)
    if length > request.standoff:
        tip -= (tip - knee) / length * request.standoff
    return (touch, knee, tip) if touch != knee else (knee, tip)
