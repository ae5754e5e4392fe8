"""Random gears against dense sampling with shapely: swept regions against thousands of poses, clearances against the
least distance of thousands of poses to obstacles put in their way by chance."""

from __future__ import annotations

import math

import numpy as np
import shapely

from linkage.clearance import BRACKET, bay_gap
from linkage.gear import Gear, GearPart
from linkage.obstacles import Obstacle
from linkage.plane.outlines import shapes_of
from linkage.sweep import region
from linkage.tracks import core_at, track
from tests.agreement.figures import Figure
from tests.agreement.random_gears import SEED, RandomGear, random_gears

TOL = 0.1
"""mm, of the sweep."""
POSES, INNER, NEAR = 1500, 800, 4000
ROUND = 48
"""Sides of a quarter circle: an inscribed disc of the union of poses is short by 1.4e-4 of its radius at most."""
OBSTACLES = 5


def figures() -> tuple[Figure, ...]:
    name = f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}"
    return (
        Figure(name, "sweep: how far a sampled pose, disc and all, stands out of its region", "mm", 0.0, False),
        Figure(name, "sweep: area beyond the union of sampled poses, over its border", "mm", TOL, False),
        Figure(name, "clearance: proved lower bound above the least sampled gap", "mm", 0.0, False),
        Figure(name, "clearance: least sampled gap above the proved lower bound", "mm", BRACKET + 0.01, False),
    )


def compare(count: int, seed: int = SEED) -> tuple[Figure, ...]:
    found = figures()
    for i, one in enumerate(random_gears(count, seed + 2)):
        for figure in found:
            figure.case(one.base)
        rng = np.random.default_rng([seed, i, 3])
        regions = [_sweep(one, part, rng, found) for part in one.gear.parts]
        for _ in range(OBSTACLES):
            _clearance(one, shapely.union_all(regions), rng, found)
    return found


def _cores(gear: Gear, part: GearPart, driven: np.ndarray) -> np.ndarray:
    return np.asarray(shapes_of(core_at(gear, part)(driven), part.closed))


def _sweep(one: RandomGear, part: GearPart, rng: np.random.Generator, found: tuple[Figure, ...]) -> shapely.Geometry:
    up = one.stroke.driven_up
    swept = region(one.gear, part, up, TOL)
    poses = _cores(one.gear, part, np.concatenate([[0.0, up], rng.uniform(0.0, up, POSES)]))
    border = shapely.boundary(swept)
    shapely.prepare([swept, border])
    # a round region of many corners would fall short of a true disc, so the disc is tested by the core's distance
    short = part.radius - shapely.distance(poses, border)
    inside = shapely.covers(swept, poses)
    out = np.where(inside, short, shapely.distance(poses, swept) + part.radius)
    found[0].add(max(0.0, float(out.max())), len(poses))
    inner = shapely.union_all(
        shapely.buffer(_cores(one.gear, part, np.linspace(0.0, up, INNER)), part.radius, quad_segs=ROUND)
    )
    found[1].add(float((swept.area - inner.area) / swept.length))
    return swept


def _obstacle(around: shapely.Geometry, rng: np.random.Generator) -> Obstacle:
    """A disc or a tilted box a few to some sixty millimetres off the swept region."""
    border = shapely.boundary(around)
    on = shapely.line_interpolate_point(border, float(rng.uniform(0.0, border.length)))
    at = complex(on.x, on.y) + float(rng.uniform(20.0, 90.0)) * np.exp(1j * rng.uniform(0.0, 2.0 * math.pi))
    lines = ((-30.0, 30.0),)
    if rng.random() < 0.5:
        return Obstacle(
            "disc", shapely.Point(at.real, at.imag), float(rng.uniform(5.0, 25.0)), lines, 0.0, False, frozenset()
        )
    half, turn = rng.uniform(5.0, 30.0, 2), np.exp(1j * rng.uniform(0.0, math.pi))
    corners = at + turn * (np.array([-1, 1, 1, -1]) * half[0] + 1j * np.array([-1, -1, 1, 1]) * half[1])
    box = shapely.Polygon(np.column_stack([corners.real, corners.imag]))
    return Obstacle("box", box, 0.0, lines, 0.0, False, frozenset())


def _clearance(one: RandomGear, around: shapely.Geometry, rng: np.random.Generator, found: tuple[Figure, ...]) -> None:
    item, up = _obstacle(around, rng), one.stroke.driven_up
    for part in one.gear.parts:
        gap = bay_gap(one.gear, one.stroke, track(one.gear, part, up), item)
        poses = _cores(one.gear, part, np.concatenate([[0.0, up, gap.driven], rng.uniform(0.0, up, NEAR)]))
        side = shapely.distance(poses, item.shape) - part.radius - item.radius
        if not side.min() > 1.0:
            continue  # in contact depths are judged, not distances: tests/plane/test_gaps.py
        sampled = math.hypot(gap.lateral, float(side.min()))
        found[2].add(max(0.0, gap.gap - sampled), len(poses))
        found[3].add(max(0.0, sampled - gap.gap), len(poses))
