"""How near every place in the side view is to what the gear must miss, on a lattice, part by part: a glance at gaps.

A gap changes by no more than the way moved, so a value between lattice points is known to within less than the lattice.
It refuses only what certainly comes too near; what is doubtful is left to the guaranteed gaps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import in_space, lateral_gap
from linkage.gear import Gear, GearPart
from linkage.mechanism.model import GROUND, Complexes, Floats
from linkage.mechanism.motion import Motion
from linkage.obstacles import Obstacle
from linkage.plane.outlines import shapes_of

LATTICE = 8.0
"""mm between lattice points."""

FAR = 1e6
"""mm, where nothing is known."""

ALONG = 6
"""Places along a bar that are looked at."""

Indices = NDArray[np.int64]


@dataclass(frozen=True)
class Layer:
    """Least of gap less required gap over the items at lattice points (columns FS, rows WL), and which item it is."""

    margin: NDArray[np.float32]
    item: Indices


@dataclass(frozen=True)
class Field:
    """``corner``: first lattice point, FS + 1j*WL. ``layers``: for each slice of a part by its place, a layer over the
    whole stroke and one that counts gear up only, None where no item does."""

    corner: complex
    layers: tuple[tuple[Layer | None, Layer | None], ...]
    items: tuple[Obstacle, ...]


def field(parts: Sequence[GearPart], items: Sequence[Obstacle], centre: complex, reach: float) -> Field:
    """The lattice within ``reach`` of ``centre``, mm. Of the parts only widths and butt lines are read."""
    count = int(np.ceil(2 * reach / LATTICE)) + 1
    corner = centre - reach * (1 + 1j)
    fs, wl = corner.real + LATTICE * np.arange(count), corner.imag + LATTICE * np.arange(count)
    points = shapely.points(*(grid.ravel() for grid in np.meshgrid(fs, wl)))
    apart = [shapely.distance(points, o.shape).reshape(count, count) - o.radius for o in items]
    slices = [s for part in parts for s in part.nested]
    layers = tuple(tuple(_layer(s, items, apart, stowed) for stowed in (False, True)) for s in slices)
    return Field(corner, layers, tuple(items))  # type: ignore[arg-type]


def _layer(part: GearPart, items: Sequence[Obstacle], apart: Sequence[Floats], stowed: bool) -> Layer | None:
    which = [i for i, o in enumerate(items) if o.stowed_only == stowed and part.name not in o.ignore]
    if not which:
        return None
    margins = np.stack([_margin(part, items[i], apart[i]) for i in which])
    least = np.min(margins, axis=0)
    for edge in (least[0], least[-1], least[:, 0], least[:, -1]):
        edge[:] = FAR  # a place beyond the lattice reads its edge
    return Layer(least.astype(np.float32), np.array(which)[margins.argmin(axis=0)])


def _margin(part: GearPart, item: Obstacle, apart: Any) -> Any:
    """Gap in space less required gap for distances in the side view of the part's core from the item, mm."""
    return in_space(lateral_gap(part.butt_lines, item.butt_lines), apart - part.radius) - item.required


def too_near(near: Field, gear: Gear, motion: Motion) -> Indices:
    """Item to which each design certainly falls short of the required gap at one of the poses, -1 where none."""
    short = np.full(motion.margin.shape[0], -1, dtype=np.int64)
    for part, layer, poses in _looks(near, gear):
        left = np.flatnonzero(short < 0)
        if not len(left):
            break
        size, m = layer.margin.shape[0], layer.margin.ravel()
        for z in places(part, motion, left, poses):
            at = np.clip(
                np.rint(np.ascontiguousarray(z - near.corner).view(np.float64) * (1 / LATTICE)), 0, size - 1
            ).astype(np.int64)
            flat = at[:, 1::2] * size + at[:, ::2]
            where = flat[np.arange(len(left)), m[flat].argmin(axis=1)]
            hit = m[where] < -LATTICE * np.sqrt(0.5)
            short[left[hit]] = layer.item.ravel()[where[hit]]
    return short


def least_margin(near: Field, gear: Gear, motion: Motion) -> tuple[Floats, Indices]:
    """Least margin of each design over the poses, mm, and to which item, -1 where there is none. The lattice,
    interpolated, says which parts at which pose may be the nearest; there their gaps are measured."""
    looks = list(_looks(near, gear))
    everyone, found, poses_of = np.arange(motion.margin.shape[0]), [], []
    margin, nearest = np.full(len(everyone), np.inf), np.full(len(everyone), -1)
    if not looks:
        return margin, nearest
    for part, layer, poses in looks:
        each = [_between(layer, (z - near.corner) / LATTICE) for z in places(part, motion, everyone, poses)]
        value = np.min(each, axis=0)
        pose = value.argmin(axis=1)
        found.append(value[everyone, pose])
        poses_of.append(pose if poses.start is None else np.full_like(pose, motion.margin.shape[1] - 1))
    least = np.min(found, axis=0)
    for (part, _, poses), value, pose in zip(looks, found, poses_of, strict=True):
        rows = np.flatnonzero(value <= least + LATTICE)
        if len(rows):
            core = np.stack([_place(motion, p.body, p.at)[rows, pose[rows]] for p in part.core], axis=1)
            measured, item = _measured(near, part, core, poses.start is not None)
            less = measured < margin[rows]
            margin[rows[less]], nearest[rows[less]] = measured[less], item[less]
    return margin, nearest


def _measured(near: Field, part: GearPart, core: Complexes, stowed: bool) -> tuple[Floats, Indices]:
    """Least margin of a part with its core at (designs, points), measured, and to which item."""
    shapes = shapes_of(core, part.closed)
    counts = [i for i, o in enumerate(near.items) if o.stowed_only == stowed and part.name not in o.ignore]
    items = [near.items[i] for i in counts]
    each = np.stack([_margin(part, o, shapely.distance(shapes, o.shape) - o.radius) for o in items])
    return each.min(axis=0), np.array(counts)[each.argmin(axis=0)]


def _looks(near: Field, gear: Gear) -> Iterator[tuple[GearPart, Layer, slice]]:
    """Slices of parts, thick ones first, with each layer that counts for them and the poses at which it does."""
    slices = [s for part in gear.parts for s in part.nested]
    for i in sorted(range(len(slices)), key=lambda i: -slices[i].radius):
        for layer, poses in zip(near.layers[i], (slice(None), slice(-1, None)), strict=True):
            if layer is not None:
                yield slices[i], layer, poses


def places(part: GearPart, motion: Motion, which: Indices, poses: slice) -> list[Complexes]:
    """Places of the core that are looked at, (which, poses) each: its corners, and of a bar some between its ends."""
    core = [_place(motion, p.body, p.at)[which, poses] for p in part.core]
    if len(core) != 2 or part.closed:
        return core
    return [core[0] + t * (core[1] - core[0]) for t in np.linspace(0.0, 1.0, ALONG)]


def _place(motion: Motion, body: str, at: Any) -> Complexes:
    if body != GROUND:
        return motion.point(body, at)
    return np.broadcast_to(np.reshape(np.asarray(at, dtype=np.complex128), (-1, 1)), motion.margin.shape)


def _between(layer: Layer, z: Complexes) -> Floats:
    """Bilinear value at lattice coordinates."""
    size = layer.margin.shape[0]
    x, y = (np.clip(part, 0.0, size - 1.001) for part in (z.real, z.imag))
    col, row = x.astype(np.int64), y.astype(np.int64)
    x, y = x - col, y - row
    flat, m = row * size + col, layer.margin.ravel()
    low = m[flat] * (1 - x) + m[flat + 1] * x
    high = m[flat + size] * (1 - x) + m[flat + size + 1] * x
    return np.asarray(low * (1 - y) + high * y)
