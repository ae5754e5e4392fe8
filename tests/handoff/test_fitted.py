"""Slabs fitted together: shared boundaries share their pieces, every slab keeps its own promise."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import MultiPolygon, Point, Polygon, box

from linkage.handoff.arcs import path_area
from linkage.handoff.fitted import FittedWeb, Piece, fitted_web
from linkage.handoff.model import NamedSolid, Slab
from linkage.handoff.stack import stacked
from linkage.handoff.web import chains_of, crossing
from tests.handoff.samples import realistic
from tests.handoff.test_arcs import assert_outside

TOLERANCE = 0.05


def fitted(*slabs: Slab) -> FittedWeb:
    web = fitted_web(slabs, TOLERANCE)
    assert web is not None
    return web


def test_a_shared_boundary_is_fitted_once() -> None:
    disc = Point(0, 0).buffer(100, quad_segs=100)
    arm = box(-20, -300, 20, 0)
    web = fitted(Slab(0, 1, disc), Slab(1, 2, disc.union(arm)))
    shared = [p for p in web.pieces if {(*p.left.tolist(),), (*p.right.tolist(),)} == {(True, True), (False, False)}]
    apart = [p for p in web.pieces if p.left.sum() + p.right.sum() == 1]
    assert shared and apart
    # The disc is round on the shared stretch, which is nearly all of it.
    assert sum(abs(web.vertices[p.end] - web.vertices[p.start]) for p in shared if p.bulge) > 300
    assert len(web.pieces) < 12


def test_every_slab_of_a_realistic_stack_stays_inside_its_fit() -> None:
    slabs = stacked(NamedSolid("a", (0, 0, 0), realistic(6)))
    web = fitted(*slabs)
    for k, slab in enumerate(slabs):
        assert_outside(web.slab(k), slab.region)


def test_random_stacks_stay_inside_too() -> None:
    random = np.random.default_rng(11)
    for _ in range(4):
        slabs = []
        for k in range(3):
            turns = np.sort(random.uniform(0, 2 * math.pi, 20))
            ring = random.uniform(60, 200, 20) * np.exp(1j * turns)
            region = Polygon(np.column_stack([ring.real, ring.imag])).buffer(0.0).buffer(8, quad_segs=24)
            slabs.append(Slab(k, k + 1, region))
        web = fitted_web(slabs, TOLERANCE)
        for k, slab in enumerate(slabs):
            if web is not None:
                assert_outside(web.slab(k), slab.region)


def test_holes_find_their_home() -> None:
    region = MultiPolygon([box(0, 0, 50, 50) - box(10, 10, 40, 40), box(20, 20, 30, 30) - box(23, 23, 27, 27)])
    fit = fitted(Slab(0, 1, region)).slab(0)
    assert sorted(round(piece.area) for piece in fit) == [84, 1600] or len(fit) == 2
    assert all(len(piece.holes) == 1 for piece in fit)
    assert sum(piece.area for piece in fit) == pytest.approx(region.area, rel=0.02)


def test_loops_part_where_a_region_touches_itself() -> None:
    on, off = np.array([True]), np.array([False])
    # Two squares that meet in vertex 0, and an arc for one of the sides.
    corners = np.array([0, 1, 1 + 1j, 1j, -1, -1 - 1j, -1j])
    ways = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 4), (4, 5), (5, 6), (6, 0)]
    web = FittedWeb(corners, tuple(Piece(a, b, 0.2 if (a, b) == (1, 2) else 0.0, on, off) for a, b in ways))
    loops = web.loops([True] * 8, [False] * 8)
    assert [len(loop) for loop in loops] == [4, 4]
    assert all(path_area(web.path(loop)) >= 1 for loop in loops)
    # Seen from the other side the same pieces bound the rest of the plane, backwards.
    assert sum(path_area(web.path(loop)) for loop in web.loops([False] * 8, [True] * 8)) < -2


def test_crossing_is_noticed() -> None:
    assert crossing([np.array([0j, 2 + 2j]), np.array([2 + 0j, 2j])])
    assert not crossing([np.array([0j, 2 + 2j]), np.array([2 + 2j, 4 + 0j])])
    assert crossing([np.array([0j, 2 + 0j]), np.array([0j, 1 + 0j, 2 + 0j])])


def test_chains_of_one_ring_close() -> None:
    (chain,) = chains_of([Slab(0, 1, Point(0, 0).buffer(50))])
    assert chain.closed and chain.left.sum() + chain.right.sum() == 1
    assert fitted_web([Slab(0, 1, box(0, 0, 1, 1))], 1e-3) is None  # finer than the grid can promise
