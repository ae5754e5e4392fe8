"""How far two sides are apart at least, all the way between two poses, as seen along directions.

Seen along a direction, from the furthest corner of one side to the nearest of the other is never more than their
distance, and it is their distance along the line of the two nearest points of convex sides. Where corners run straight
and evenly this is a concave function of the way, so that it is least at an end: whatever bound holds at both ends
along one direction holds between them. The best of many directions counts.
"""

from __future__ import annotations

import numpy as np

from linkage.glance.pairs import ALONG, OWN, Indices, Pairs
from linkage.mechanism.model import Complexes, Floats


def seen(one: Complexes, along: Complexes) -> Floats:
    """Places as seen along directions, mm."""
    return np.asarray(one.real * along.real + one.imag * along.imag)


def cells_apart(pairs: Pairs, core: Complexes) -> Floats:
    """Of every pair between each pose of ``core`` (slices, poses, corners) and the next, mm (pairs, poses - 1)."""
    cells, own = core.shape[1] - 1, pairs.item == OWN
    bay = np.full((len(core), len(pairs.hulls), cells), -np.inf)
    mine, one, two = np.full((int(own.sum()), cells), -np.inf), pairs.one[own], pairs.two[own]
    for along, reach in zip(ALONG, pairs.reach, strict=True):  # one at a time: so little stays in the cache
        places = seen(core, along)
        low, high = places.min(axis=-1), places.max(axis=-1)
        np.maximum(bay, _least(low)[:, None] - reach[:, None], out=bay)
        np.maximum(mine, _least(low[one] - high[two]), out=mine)
    out = np.empty((len(own), cells))
    out[~own], out[own] = bay[pairs.one[~own], pairs.item[~own]], mine
    return out


def _least(places: Floats) -> Floats:
    """Of each pose and the next."""
    return np.minimum(places[:, :-1], places[:, 1:])


def apart_along(pairs: Pairs, pair: Indices, along: Complexes, pose: Indices, core: Complexes) -> Floats:
    """Of pairs (n,), each along its own direction (n,), at poses (n, k) of ``core``: mm (n, k)."""
    way, item = along[:, None], pairs.item[pair]
    low = seen(core[pairs.one[pair][:, None], pose], way[..., None]).min(axis=-1)
    own = item == OWN
    far = np.empty(low.shape)
    far[~own] = seen(pairs.hulls[item[~own]], way[~own]).max(axis=-1)[:, None]
    if own.any():
        far[own] = seen(core[pairs.two[pair[own]][:, None], pose[own]], way[own][..., None]).max(axis=-1)
    return np.asarray(low - far)
