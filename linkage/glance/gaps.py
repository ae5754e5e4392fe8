"""Least gaps of all parts to all bay items, and to one another, in one search: an estimate by samples.

As seen along any direction, two sides are never further apart than they are in space, and where they move straight this
is least at an end of the way (`linkage.glance.apart`). That says of most ways between two poses that nothing can come
nearer there; the others are measured, and cut up where a least gap may still lie. What is not proved is the way between
poses: it is taken as straight and even, with the sagitta that the second differences of the places show.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from linkage.clearance import Clearance, Gap
from linkage.gear import Gear, GearPart
from linkage.glance.bodies import Bodies
from linkage.glance.nearest import WITHIN, Met, Search, all_met
from linkage.glance.pairs import OWN, Pairs
from linkage.mechanism.model import Floats
from linkage.plane.contact import signed
from linkage.stroke import Stroke

__all__ = ["WITHIN", "quick_clearance"]

POSES = 61
"""Poses looked at first."""

DEPTHS = 12
"""Poses in contact at which the depth is measured, for each item."""


def quick_clearance(gear: Gear, stroke: Stroke, slices: Sequence[GearPart], pairs: Pairs) -> Clearance:
    """The nearest pair of every bay item, and the nearest two parts of the gear, each within `WITHIN` where there is no
    contact: ``gap`` not above the truth, ``upper`` reached. Depth of contact is that of the deepest sample."""
    nothing = np.full(len(stroke.driven), np.nan)
    if not len(pairs.one):
        return Clearance((), (), nothing, ())
    search = Search(Bodies(gear, slices), pairs)
    search.run(np.linspace(0.0, stroke.driven_up, POSES))
    found = _found(search)
    own = tuple(g for group, g in found if group == pairs.own)
    bay = sorted((g for group, g in found if group != pairs.own), key=lambda g: g.margin)
    return Clearance(tuple(bay), own, nothing, ())


def _found(search: Search) -> list[tuple[int, Gap]]:
    """The pair and place of the least margin of each group."""
    met = all_met(search.met)
    group, margin = search.pairs.group[met.pair], _with_depth(search, met)
    order = np.lexsort((met.driven, margin, group))
    groups, first = np.unique(group[order], return_index=True)
    return [(int(g), _gap(search, met, i, float(margin[i]))) for g, i in zip(groups, order[first], strict=True)]


def _with_depth(search: Search, met: Met) -> Floats:
    """Margins, with the depth of some of the poses in contact."""
    pairs, margin = search.pairs, met.margin.copy()
    for group in np.flatnonzero(search.touched):
        rows = np.flatnonzero(met.touches & (pairs.group[met.pair] == group))
        rows = rows[np.linspace(0, len(rows) - 1, min(DEPTHS, len(rows))).astype(int)]
        pair = met.pair[rows]
        one, two = search.sides(pair, np.arange(len(rows)), search.bodies.at(met.driven[rows]))
        filled = shapely.get_dimensions(two) == 2
        a, b = np.where(filled, one, two), np.where(filled, two, one)
        margin[rows] = signed(a, b, 0.0) - pairs.radius[pair] - pairs.required[pair]
    return margin


def _gap(search: Search, met: Met, i: int, margin: float) -> Gap:
    """``ends``: the two nearest points in the side view, on the part's border and on the core of the other side."""
    p, k = search.pairs, met.pair[i]
    names, group, required, lateral = search.bodies.slices, p.group[k], float(p.required[k]), float(p.lateral[k])
    lower = margin if search.touched[group] else min(margin, float(search.low[group]))
    return Gap(
        part=names[p.one[k]].name,
        item=names[p.two[k]].name if p.item[k] == OWN else p.names[group],
        lateral=lateral,
        gap=max(lower + required, lateral) if lateral > 0 else lower + required,
        upper=margin + required,
        required=required,
        driven=float(met.driven[i]),
        swing=float(met.swing[i]),
        ends=(complex(met.near[i] - p.radius[k] * met.along[i]), complex(met.far[i])),
    )
