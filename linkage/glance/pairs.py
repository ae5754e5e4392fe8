"""What may touch what: every part of the gear with every bay item, and with every other part, as columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from linkage.clearance import apart, lateral_gap
from linkage.document.study import Study
from linkage.gear import GearPart
from linkage.mechanism.model import Complexes, Floats
from linkage.obstacles import Obstacle

Indices = NDArray[np.intp]

ALONG: Complexes = np.exp(2j * np.pi * np.arange(12) / 12)
"""Directions along which all pairs are looked at."""

OWN = -1
"""In place of an item: the other side is a part of the gear."""


@dataclass(frozen=True)
class Pairs:
    """Columns (pairs,): ``one`` and ``two`` are slices of parts, ``item`` an obstacle or `OWN`; ``two`` counts only
    with `OWN`. ``radius``: both sides' together; ``group``: which least gap it belongs to, one for each item's name in
    ``names``, the last for the gear itself; ``up``: counts only gear up; ``rigid``: both parts lie on one body."""

    one: Indices
    two: Indices
    item: Indices
    lateral: Floats
    radius: Floats
    required: Floats
    group: Indices
    up: NDArray[np.bool_]
    rigid: NDArray[np.bool_]
    names: tuple[str, ...]
    shapes: NDArray[Any]
    hulls: Complexes
    """Corners of the items' convex hulls, FS + 1j*WL in mm (items, corners); what one lacks repeats its first."""
    reach: Floats
    """How far the items reach in each direction of `ALONG`, mm (directions, items)."""

    @property
    def own(self) -> int:
        """Group of the gear's parts among one another."""
        return len(self.names)


def pairs_of(study: Study, slices: Sequence[GearPart], items: Sequence[Obstacle]) -> Pairs:
    """Every pair that is to keep a gap."""
    names = tuple(dict.fromkeys(o.name for o in items))
    rows = [
        (i, OWN, k, lateral_gap(part.butt_lines, o.butt_lines), part.radius + o.radius, o.required,
         names.index(o.name), o.stowed_only, False)
        for i, part in enumerate(slices) for k, o in enumerate(items) if part.name not in o.ignore
    ] + [
        (i, j, OWN, lateral_gap(a.butt_lines, b.butt_lines), a.radius + b.radius, study.gear.self_gap,
         len(names), False, len({p.body for p in (*a.core, *b.core)}) == 1)
        for i, a in enumerate(slices) for j, b in enumerate(slices[i + 1 :], i + 1) if apart(study, a.name, b.name)
    ]  # fmt: skip
    columns = [np.array([row[c] for row in rows]) for c in range(9)]
    shapes = np.array([o.shape for o in items], dtype=object)
    hulls = _hulls(shapes)
    return Pairs(
        one=columns[0].astype(np.intp),
        two=columns[1].astype(np.intp),
        item=columns[2].astype(np.intp),
        lateral=columns[3].astype(np.float64),
        radius=columns[4].astype(np.float64),
        required=columns[5].astype(np.float64),
        group=columns[6].astype(np.intp),
        up=columns[7].astype(bool),
        rigid=columns[8].astype(bool),
        names=names,
        shapes=shapes,
        hulls=hulls,
        reach=(hulls.real * ALONG.real[:, None, None] + hulls.imag * ALONG.imag[:, None, None]).max(axis=-1),
    )


def _hulls(shapes: NDArray[Any]) -> Complexes:
    rings = [shapely.get_coordinates(hull) @ (1.0, 1j) for hull in shapely.convex_hull(shapes)]
    most = max((len(ring) for ring in rings), default=1)
    return np.array([[*ring, *ring[:1].repeat(most - len(ring))] for ring in rings]).reshape(len(rings), most)
