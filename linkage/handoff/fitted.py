"""All slabs of a solid fitted with lines and arcs together, so that slabs which share a boundary share its pieces."""

from __future__ import annotations

import cmath
import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from shapely.geometry import MultiPoint

from linkage.handoff.arcs import (
    FLATTEN,
    GROW,
    MITRE,
    STRAY,
    ArcPath,
    ArcPolygon,
    Points,
    certified,
    fit_open,
    fit_ring,
    flat_polygon,
    flatten,
    path_area,
)
from linkage.handoff.model import Slab
from linkage.handoff.web import GRID, Chain, Flags, chains_of, crossing


@dataclass(frozen=True)
class Piece:
    """A line or arc between two vertices; ``left``, ``right``: which slabs lie on that side."""

    start: int
    end: int
    bulge: float
    left: Flags
    right: Flags


Loop: TypeAlias = tuple[tuple[int, bool], ...]
"""Closed way along pieces: (piece, True if along it and False if against it)."""


@dataclass(frozen=True)
class FittedWeb:
    """Vertices (side view, mm) and the pieces between them."""

    vertices: Points
    pieces: tuple[Piece, ...]

    def path(self, loop: Loop) -> ArcPath:
        """The loop as vertices and bulges."""
        return tuple(
            (complex(self.vertices[p.start if along else p.end]), p.bulge if along else -p.bulge)
            for p, along in ((self.pieces[k], along) for k, along in loop)
        )

    def loops(self, left: Sequence[bool], right: Sequence[bool]) -> list[Loop]:
        """Boundary of the region that lies left of the pieces flagged in ``left`` and right of those in ``right``.

        The region is on the left of every loop. Where it touches itself in a vertex, the loops part there.
        """
        steps = [(k, a) for k, (a, b) in enumerate(zip(left, right, strict=True)) if a != b]
        leaving: dict[int, list[tuple[int, bool]]] = defaultdict(list)
        for k, along in steps:
            leaving[self._ends(k, along)[0]].append((k, along))
        unused, found = dict.fromkeys(steps), []
        while unused:
            step = next(iter(unused))
            loop = []
            while step in unused:
                del unused[step]
                loop.append(step)
                step = self._next(step, leaving[self._ends(*step)[1]])
            found.append(tuple(loop))
        return found

    def polygons(self, loops: Sequence[Loop]) -> list[tuple[Loop, list[Loop]]]:
        """Outer loops, each with the holes in it."""
        area = {loop: path_area(self.path(loop)) for loop in loops}
        outers = sorted((loop for loop in loops if area[loop] > 0), key=lambda loop: area[loop])
        holes: dict[Loop, list[Loop]] = {loop: [] for loop in outers}
        flats = [flat_polygon(ArcPolygon(self.path(loop)), GRID, outside=True) for loop in outers]
        for hole in (loop for loop in loops if area[loop] <= 0):
            corners = _corners(self.path(hole))
            home = next((o for o, flat in zip(outers, flats, strict=True) if flat.covers(corners)), None)
            if home is not None:
                holes[home].append(hole)
        return list(holes.items())

    def slab(self, row: int) -> tuple[ArcPolygon, ...]:
        """Fitted polygons of one slab."""
        loops = self.loops([bool(p.left[row]) for p in self.pieces], [bool(p.right[row]) for p in self.pieces])
        return tuple(
            ArcPolygon(self.path(outer), tuple(self.path(h) for h in holes)) for outer, holes in self.polygons(loops)
        )

    def _ends(self, piece: int, along: bool) -> tuple[int, int]:
        p = self.pieces[piece]
        return (p.start, p.end) if along else (p.end, p.start)

    def _next(self, step: tuple[int, bool], choices: Sequence[tuple[int, bool]]) -> tuple[int, bool]:
        """Of several ways on, the one that keeps to the same wedge of the region: the first clockwise from behind."""
        if len(choices) == 1:
            return choices[0]
        back = -self._heading(step, at_end=True)
        return min(choices, key=lambda c: cmath.phase(back / self._heading(c, at_end=False)) % (2 * math.pi))

    def _heading(self, step: tuple[int, bool], *, at_end: bool) -> complex:
        start, end = (complex(self.vertices[k]) for k in self._ends(*step))
        bulge = self.pieces[step[0]].bulge * (1 if step[1] else -1)
        half = 2 * math.atan(bulge)
        return (end - start) * cmath.exp(1j * (half if at_end else -half))


def fitted_web(slabs: Sequence[Slab], tolerance: float) -> FittedWeb | None:
    """Fit stacked slabs together; ``None`` if no fit can be certified.

    Guarantee as in ``arcs.fit_region``: every slab's fit covers it and lies at most ``tolerance`` mm outside.
    """
    if tolerance < 10 * GRID:
        return None
    growth = GROW * tolerance
    grown = [Slab(s.bl_lo, s.bl_hi, s.region.buffer(growth, join_style="mitre", mitre_limit=MITRE)) for s in slabs]
    chains = chains_of(grown)
    for share in (1.0, 0.3, 0.05):
        paths = [_fit(chain, share * STRAY * tolerance - GRID) for chain in chains]
        if crossing([_flat(path, FLATTEN * tolerance) for path in paths]):
            continue
        web = _joined(chains, paths)
        if all(certified(web.slab(k), slab.region, tolerance) for k, slab in enumerate(slabs)):
            return web
    return None


def _fit(chain: Chain, stray: float) -> ArcPath:
    """Pieces of a chain; the last entry is the end of the last piece."""
    if chain.closed:
        ring = fit_ring(chain.points[:-1], stray)
        return (*ring, (ring[0][0], 0.0))
    return (*fit_open(chain.points, stray), (complex(chain.points[-1]), 0.0))


def _flat(path: ArcPath, step: float) -> Points:
    # The last entry has no piece of its own, but flattening a path closes it: that straight way back is cut off.
    closed = path[0][0] == path[-1][0]
    flat = flatten(path[:-1] if closed else path, step, outside=True)
    return np.append(flat, path[-1][0]) if closed else flat


def _joined(chains: Sequence[Chain], paths: Sequence[ArcPath]) -> FittedWeb:
    number: dict[complex, int] = {}
    pieces = []
    for chain, path in zip(chains, paths, strict=True):
        for (a, bulge), (b, _) in itertools.pairwise(path):
            start, end = number.setdefault(a, len(number)), number.setdefault(b, len(number))
            pieces.append(Piece(start, end, bulge, chain.left, chain.right))
    return FittedWeb(np.array(list(number), dtype=np.complex128), tuple(pieces))


def _corners(path: ArcPath) -> MultiPoint:
    # Loops do not cross: one whose corners are all in another lies in it.
    points = flatten(path, GRID, outside=True)
    return MultiPoint(np.column_stack([points.real, points.imag]))
