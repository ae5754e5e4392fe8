"""Where bay items on the engine are while it moves on its mounts: a cover of all places, and the corners by name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
import shapely

from linkage.document.bay import EngineMotion
from linkage.document.states import StateEntry
from linkage.obstacles import Obstacle
from linkage.plane.envelope import sweep_turning, union_outer
from linkage.plane.ruled import Complexes, hulls

COVER = 0.02
"""mm by which the cover of a moving item may exceed the truth."""


@dataclass(frozen=True)
class Corner:
    """One extreme place of the engine: ``rock`` in rad about the pivot, then shifted ``aft`` and ``down``, mm."""

    rock: float
    aft: float
    down: float

    def __str__(self) -> str:
        return f"rock {math.degrees(self.rock):+g} deg, {self.aft:+g} mm aft, {self.down:g} mm down"


def ranges(motion: EngineMotion, state: StateEntry) -> tuple[tuple[float, float], tuple[float, float], float]:
    """Rock in rad, fore and aft in mm, both [low, high], and how far down, mm, in a state."""
    low = motion.aged_sag if state.mounts == "aged" else 0.0
    if state.engine == "at rest":
        return (0.0, 0.0), (0.0, 0.0), low
    rock = (math.radians(min(0.0, motion.rock[0])), math.radians(max(0.0, motion.rock[1])))
    return rock, (min(0.0, motion.fore_aft[0]), max(0.0, motion.fore_aft[1])), motion.sag + low


def corners(motion: EngineMotion, state: StateEntry) -> tuple[Corner, ...]:
    """Every combination of the ends of the motion."""
    rock, shift, down = ranges(motion, state)
    return tuple(Corner(*c) for c in dict.fromkeys(product(rock, shift, (0.0, down))))


def at_corner(item: Obstacle, motion: EngineMotion, corner: Corner) -> Any:
    """Shape of an item, shapely in the side view (mm), with the engine at that corner of its motion."""
    pivot, turn = complex(*motion.pivot), complex(math.cos(corner.rock), math.sin(corner.rock))

    def move(points: Any) -> Any:
        z = pivot + turn * (points[:, 0] + 1j * points[:, 1] - pivot) + complex(corner.aft, -corner.down)
        return np.column_stack([z.real, z.imag])

    return shapely.transform(item.shape, move)


def at_rest(state: StateEntry) -> bool:
    """Whether every item on the engine is where it is drawn."""
    return state.engine == "at rest" and state.mounts == "new"


def moved(items: Sequence[Obstacle], motion: EngineMotion | None, state: StateEntry) -> tuple[Obstacle, ...]:
    """The items with those on the engine replaced by a cover of all their places, never smaller than the truth.

    The cover of a turn is certified (`linkage.plane.envelope`); it is shifted over the rectangle of sag and fore-aft
    one direction after the other, by the hulls of its edges. Holes of an item are filled.
    """
    if motion is None or at_rest(state):
        return tuple(items)
    rock, shift, down = ranges(motion, state)

    def cover(shape: Any) -> Any:
        out = _turned(shape, complex(*motion.pivot), rock)
        for one, other in ((shift[0] + 0j, shift[1] + 0j), (0j, -1j * down)):
            out = _slid(out, one, other)
        return out

    return tuple(replace(o, shape=cover(o.shape), line=()) if o.with_engine else o for o in items)


def farthest_move(item: Obstacle, motion: EngineMotion, state: StateEntry) -> float:
    """Most that any point of an item on the engine lies from its place at rest, mm."""
    rock, shift, down = ranges(motion, state)
    points = shapely.get_coordinates(item.shape) - np.array(motion.pivot)
    arm = float(np.max(np.hypot(*points.T)))
    turn = 2.0 * arm * math.sin(max(-rock[0], rock[1]) / 2)
    return turn + math.hypot(max(-shift[0], shift[1]), down) + 2 * COVER


def _turned(shape: Any, pivot: complex, rock: tuple[float, float]) -> Any:
    if rock[0] == rock[1]:
        return shape
    return union_outer([sweep_turning(core, closed, pivot, *rock, 0.0, COVER) for core, closed in _cores(shape)])


def _slid(shape: Any, one: complex, other: complex) -> Any:
    """Everywhere from shift ``one`` to shift ``other``."""
    first = _shifted(shape, one)
    if one == other:
        return first
    pieces = [first]
    for core, closed in _cores(shape):
        ring = np.append(core, core[:1]) if closed else core
        edges = np.column_stack([ring[:-1], ring[1:]]) if len(ring) > 1 else ring[:, None]
        pieces += list(hulls(np.concatenate([edges + one, edges + other], axis=1)))
    return union_outer(pieces)


def _shifted(shape: Any, by: complex) -> Any:
    return shapely.transform(shape, lambda p: p + np.array([by.real, by.imag]))


def _cores(shape: Any) -> list[tuple[Complexes, bool]]:
    """Outer rings, lines and points of a geometry, and whether they are filled."""
    out = []
    for part in shapely.get_parts(shape):
        filled = shapely.get_type_id(part) == 3
        points = shapely.get_coordinates(part.exterior if filled else part)
        z = points[:, 0] + 1j * points[:, 1]
        out.append((z[:-1] if filled else z, bool(filled)))
    return out
