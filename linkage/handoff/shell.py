"""Closed bodies out of fitted slabs, face by face with shared edges. Needs the CAD library (extra ``cad``).

What meets what is known from the plane map, so nothing has to be intersected: floors lie between loops of pieces in the
plane of a butt line, walls stand on one piece and reach as far as the slabs on its two sides do not change.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np

from linkage.handoff.arcs import arc_centre
from linkage.handoff.fitted import FittedWeb, Loop
from linkage.handoff.model import Slab

Key: TypeAlias = tuple[str, int, int, int]
"""Of an edge: ("along", piece, plane, plane) or ("up", vertex, from plane, to plane)."""

TOLERANCE = 1e-7
"""mm, the CAD library's own idea of a point."""


@dataclass(frozen=True)
class Wall:
    """On ``piece`` from plane ``low`` to plane ``high``; the solid is on the left of the piece, or on the right."""

    piece: int
    low: int
    high: int
    solid_left: bool


def shells_of(web: FittedWeb, slabs: Sequence[Slab]) -> list[Any] | None:
    """Closed shells, facing outward, or ``None`` where an edge would belong to more than two faces."""
    planes = sorted({bl for s in slabs for bl in (s.bl_lo, s.bl_hi)})
    walls = _walls(web, slabs, planes)
    builder = _Builder(web, planes, walls)
    for wall in walls:
        builder.wall(wall)
    for level in range(len(planes)):
        for below, above in ((level - 1, level), (level, level - 1)):
            # The solid is in row `above` and not in row `below`: its floor if that is upward, else its ceiling.
            left, right = _only(web, slabs, planes, above, below)
            for outer, holes in web.polygons(web.loops(left, right)):
                builder.floor(level, outer, holes, ceiling=above < below)
    return builder.shells()


def _rows(web: FittedWeb, slabs: Sequence[Slab], planes: Sequence[float], row: int) -> tuple[list[bool], list[bool]]:
    """Which pieces have the solid on the left and on the right between plane ``row`` and the next."""
    slab = next((k for k, s in enumerate(slabs) if 0 <= row < len(planes) and s.bl_lo == planes[row]), None)
    if slab is None:
        return [False] * len(web.pieces), [False] * len(web.pieces)
    return [bool(p.left[slab]) for p in web.pieces], [bool(p.right[slab]) for p in web.pieces]


def _only(
    web: FittedWeb, slabs: Sequence[Slab], planes: Sequence[float], row: int, other: int
) -> tuple[list[bool], list[bool]]:
    mine, theirs = _rows(web, slabs, planes, row), _rows(web, slabs, planes, other)
    left, right = ([a and not b for a, b in zip(m, t, strict=True)] for m, t in zip(mine, theirs, strict=True))
    return left, right


def _walls(web: FittedWeb, slabs: Sequence[Slab], planes: Sequence[float]) -> list[Wall]:
    both = [np.array(_rows(web, slabs, planes, row), dtype=int) for row in range(len(planes))]
    sides = np.array([left - right for left, right in both])
    walls = []
    for piece, column in enumerate(sides.T):
        start = 0
        for level in range(1, len(planes)):
            if column[level] != column[start]:
                if column[start]:
                    walls.append(Wall(piece, start, level, bool(column[start] > 0)))
                start = level
    return walls


class _Builder:
    """Vertices, edges and faces, each made once. Every edge remembers the faces that use it."""

    def __init__(self, web: FittedWeb, planes: Sequence[float], walls: Sequence[Wall]) -> None:
        from OCP.BRep import BRep_Builder

        self.web, self.planes, self.make = web, planes, BRep_Builder()
        self.vertices: dict[tuple[int, int], Any] = {}
        self.edges: dict[Key, Any] = {}
        self.users: dict[Key, list[int]] = defaultdict(list)
        self.faces: list[Any] = []
        # A vertical edge must end wherever some wall beside it does.
        self.stops: dict[int, set[int]] = defaultdict(set)
        for wall in walls:
            piece = web.pieces[wall.piece]
            for vertex in (piece.start, piece.end):
                self.stops[vertex] |= {wall.low, wall.high}

    def floor(self, level: int, outer: Loop, holes: Sequence[Loop], *, ceiling: bool) -> None:
        """A face in a butt-line plane. Drawn seen from -BL, where loops run anticlockwise; a ceiling is turned over."""
        from OCP.Geom import Geom_Plane
        from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

        frame = gp_Ax3(gp_Pnt(0.0, self.planes[level], 0.0), gp_Dir(0.0, -1.0, 0.0), gp_Dir(1.0, 0.0, 0.0))
        wires = [[(self._along(piece, level), forward) for piece, forward in loop] for loop in (outer, *holes)]
        self._face(Geom_Plane(frame), wires, turned=ceiling)

    def wall(self, wall: Wall) -> None:
        """A plane or cylinder face; seen from outside: up at the start of the solid's boundary, along, down, back."""
        piece = self.web.pieces[wall.piece]
        start, end = (piece.start, piece.end) if wall.solid_left else (piece.end, piece.start)
        up = [(key, True) for key in self._upright(start, wall.low, wall.high)]
        down = [(key, False) for key in reversed(self._upright(end, wall.low, wall.high))]
        top, bottom = self._along(wall.piece, wall.high), self._along(wall.piece, wall.low)
        ring = [*up, (top, wall.solid_left), *down, (bottom, not wall.solid_left)]
        surface = self._surface(wall)
        inward = piece.bulge != 0 and (piece.bulge > 0) != wall.solid_left
        # The cylinder's own outside is away from its axis; where that is into the solid, the face is turned over.
        wire = [(key, not forward) for key, forward in reversed(ring)] if inward else ring
        face = self._face(surface, [wire], turned=inward)
        if piece.bulge:
            self._unroll(face, surface, wall)

    def shells(self) -> list[Any] | None:
        """Faces that hang together by edges; ``None`` unless every edge has exactly two, one in either direction."""
        from OCP.TopoDS import TopoDS_Shell

        if any(len(users) != 2 for users in self.users.values()):
            return None
        group = list(range(len(self.faces)))

        def root(k: int) -> int:
            while group[k] != k:
                group[k] = group[group[k]]
                k = group[k]
            return k

        for a, b in self.users.values():
            group[root(a)] = root(b)
        shells: dict[int, Any] = {}
        for k, face in enumerate(self.faces):
            if root(k) not in shells:
                shells[root(k)] = TopoDS_Shell()
                self.make.MakeShell(shells[root(k)])
            self.make.Add(shells[root(k)], face)
        for shell in shells.values():
            shell.Closed(True)
        return list(shells.values())

    def _face(self, surface: Any, wires: Sequence[Sequence[tuple[Key, bool]]], *, turned: bool) -> Any:
        from OCP.TopAbs import TopAbs_Orientation
        from OCP.TopoDS import TopoDS_Face, TopoDS_Wire

        face = TopoDS_Face()
        self.make.MakeFace(face, surface, TOLERANCE)
        for keys in wires:
            wire = TopoDS_Wire()
            self.make.MakeWire(wire)
            for key, forward in keys:
                way = TopAbs_Orientation.TopAbs_FORWARD if forward else TopAbs_Orientation.TopAbs_REVERSED
                self.make.Add(wire, self.edges[key].Oriented(way))
                self.users[key].append(len(self.faces))
            wire.Closed(True)
            self.make.Add(face, wire)
        self.faces.append(face.Reversed() if turned else face)
        return face

    def _point(self, vertex: int, level: int) -> Any:
        from OCP.gp import gp_Pnt

        z = complex(self.web.vertices[vertex])
        return gp_Pnt(z.real, self.planes[level], z.imag)

    def _vertex(self, vertex: int, level: int) -> Any:
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex

        if (vertex, level) not in self.vertices:
            self.vertices[vertex, level] = BRepBuilderAPI_MakeVertex(self._point(vertex, level)).Vertex()
        return self.vertices[vertex, level]

    def _along(self, piece: int, level: int) -> Key:
        """Edge on a piece in a butt-line plane."""
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
        from OCP.Geom import Geom_Circle

        key: Key = ("along", piece, level, level)
        if key not in self.edges:
            p = self.web.pieces[piece]
            ends = self._vertex(p.start, level), self._vertex(p.end, level)
            if p.bulge:
                frame, radius, sweep = self._frame(piece, self.planes[level])
                edge = BRepBuilderAPI_MakeEdge(Geom_Circle(frame.Ax2(), radius), *ends, 0.0, sweep)
            else:
                edge = BRepBuilderAPI_MakeEdge(*ends)
            self.edges[key] = edge.Edge()
        return key

    def _upright(self, vertex: int, low: int, high: int) -> list[Key]:
        """Edges that lead up from plane to plane; measured along BL from 0, so that a cylinder can tell its height."""
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
        from OCP.Geom import Geom_Line
        from OCP.gp import gp_Dir, gp_Pnt

        levels = sorted(level for level in self.stops[vertex] if low <= level <= high)
        keys: list[Key] = [("up", vertex, a, b) for a, b in itertools.pairwise(levels)]
        z = complex(self.web.vertices[vertex])
        for key in keys:
            if key not in self.edges:
                line = Geom_Line(gp_Pnt(z.real, 0.0, z.imag), gp_Dir(0.0, 1.0, 0.0))
                ends = self._vertex(vertex, key[2]), self._vertex(vertex, key[3])
                self.edges[key] = BRepBuilderAPI_MakeEdge(line, *ends, self.planes[key[2]], self.planes[key[3]]).Edge()
        return keys

    def _frame(self, piece: int, bl: float) -> tuple[Any, float, float]:
        """Frame of an arc with angle 0 at its start and turning its way; radius; sweep, both positive."""
        from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

        p = self.web.pieces[piece]
        a, b = complex(self.web.vertices[p.start]), complex(self.web.vertices[p.end])
        centre, radius = arc_centre(a, b, p.bulge)
        # Anticlockwise in (FS, WL) is a right-hand turn about -BL.
        axis, arm = gp_Dir(0.0, math.copysign(1.0, -p.bulge), 0.0), a - centre
        frame = gp_Ax3(gp_Pnt(centre.real, bl, centre.imag), axis, gp_Dir(arm.real, 0.0, arm.imag))
        return frame, abs(radius), 4 * math.atan(abs(p.bulge))

    def _surface(self, wall: Wall) -> Any:
        from OCP.Geom import Geom_CylindricalSurface, Geom_Plane
        from OCP.gp import gp_Dir

        p = self.web.pieces[wall.piece]
        if p.bulge:
            frame, radius, _ = self._frame(wall.piece, 0.0)
            return Geom_CylindricalSurface(frame, radius)
        ahead = complex(self.web.vertices[p.end] - self.web.vertices[p.start]) * (1 if wall.solid_left else -1)
        return Geom_Plane(self._point(p.start, wall.low), gp_Dir(ahead.imag, 0.0, -ahead.real))

    def _unroll(self, face: Any, surface: Any, wall: Wall) -> None:
        """Tell each edge where it runs on the unrolled cylinder: angle across, height up the axis."""
        from OCP.Geom2d import Geom2d_Line
        from OCP.gp import gp_Dir2d, gp_Pnt2d

        piece = self.web.pieces[wall.piece]
        up = math.copysign(1.0, -piece.bulge)
        sweep = 4 * math.atan(abs(piece.bulge))
        for level in (wall.low, wall.high):
            line = Geom2d_Line(gp_Pnt2d(0.0, up * self.planes[level]), gp_Dir2d(1.0, 0.0))
            self.make.UpdateEdge(self.edges[self._along(wall.piece, level)], line, face, TOLERANCE)
        for vertex, angle in ((piece.start, 0.0), (piece.end, sweep)):
            for key in self._upright(vertex, wall.low, wall.high):
                line = Geom2d_Line(gp_Pnt2d(angle, 0.0), gp_Dir2d(0.0, up))
                self.make.UpdateEdge(self.edges[key], line, face, TOLERANCE)
