"""The loading region: every reachable pair of (mass, moment), exactly, and the part of it inside a band.

For one choice of what is aboard the region is convex; its two sides are the greedy paths of
``choices.chain``. The region is the union over choices, with gaps and steps where an optional item has a
least mass.

Moment along which axis? The nose share depends on the CG along the *ground*. With the aircraft pitched on
its wheels the moment along FS does not fix it, the moment along the ground direction does, and that is as
linear in the masses: so the band is measured in the region along :attr:`Stance2.direction`, which is exact
for any attitude and the usual (mass, FS moment) region when the attitude is level. Moving the datum only
shears the plane, which keeps areas: the fraction does not depend on the datum.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from linkage.loading.choices import FloatArray, chain, choices
from linkage.loading.forms import Stance2, moment_form
from linkage.loading.model import LoadModel

_FLAT = 1e-12
"""What is thinner than this part of the numbers it is made of is rounding, not room."""


@dataclass(frozen=True, eq=False)
class Region:
    """Reachable (mass kg, moment kg mm), moment along unit vector ``axis`` about FS 0 WL 0.

    ``pieces``: corners (k, 2) of the convex region of each choice, anticlockwise; a line has 2, a point 1.
    ``outlines``: their union, each as (outer ring, holes...) of closed (k, 2) arrays; empty if nothing has
    an area. ``area`` of the union in kg x kg mm.
    """

    axis: complex
    pieces: tuple[FloatArray, ...]
    outlines: tuple[tuple[FloatArray, ...], ...]
    area: float


@lru_cache(maxsize=16)
def loading_region(model: LoadModel, axis: complex = 1 + 0j) -> Region:
    """The region over all choices. Axis 1 is the aircraft's FS; ``stance.direction`` is the ground frame."""
    import shapely

    form = moment_form(model, axis)
    arms = np.array(form.weights)
    sides = [chain(choices(model), model.empty_kg, form.constant, arms, up) for up in (False, True)]
    mass, moment = (np.column_stack([side[k] for side in sides]) for k in (0, 1))
    hulls = _hulls(np.stack([mass, moment], axis=-1))
    whole = shapely.union_all(hulls[shapely.area(hulls) > 0.0])
    parts = shapely.get_parts(whole)
    polygons = parts[shapely.area(parts) > 0.0]
    outlines = tuple(tuple(shapely.get_coordinates(ring) for ring in shapely.get_rings(p)) for p in polygons)
    return Region(axis, _corners(hulls), outlines, float(shapely.area(whole)))


def band_fraction(region: Region, stance: Stance2, low: float, high: float) -> float:
    """Part of the region's area in which the nose share lies within ``low`` .. ``high`` (fractions).

    ``region`` must be taken along ``stance.direction``. If no choice leaves two masses free, the region is
    made of lines and the part of their length counts; if nothing is free at all, the part of the points.
    """
    import shapely

    if abs(region.axis - stance.direction) > 1e-12:
        raise ValueError(f"axis={region.axis} of the region must be the ground direction {stance.direction}")
    whole = _whole(region)
    size = shapely.get_dimensions(whole)
    if size == 0:
        points = shapely.get_coordinates(whole)
        arms = points[:, 1] / points[:, 0]
        return float(np.mean((arms >= stance.arm_at_share(high)) & (arms <= stance.arm_at_share(low))))
    # Lines of equal share are rays from the origin: the band is a wedge.
    far = 2.0 * max(piece[:, 0].max() for piece in region.pieces)
    edges = [(far, far * stance.arm_at_share(share)) for share in (high, low)]
    inside = whole.intersection(shapely.Polygon([(0.0, 0.0), *edges]))
    return float(inside.area / whole.area if size == 2 else inside.length / whole.length)


def _hulls(rings: FloatArray) -> Any:
    """Convex hulls (n,) of rings (n, k, 2); what is a line or a point but for rounding becomes just that."""
    import shapely

    count, corners, _ = rings.shape
    hulls = shapely.convex_hull(shapely.multipoints(rings.reshape(-1, 2), indices=np.repeat(np.arange(count), corners)))
    size = np.abs(rings).max(axis=1)
    size[size == 0.0] = 1.0
    spread = np.ptp(rings, axis=1) / size
    most = spread.max(axis=1)
    for i in np.flatnonzero(shapely.area(hulls) <= _FLAT * most * size.prod(axis=1)):
        along = rings[i, :, spread[i].argmax()]
        ends = rings[i, [along.argmin(), along.argmax()]]
        hulls[i] = shapely.Point(ends[0]) if most[i] <= _FLAT else shapely.LineString(ends)
    return hulls


def _corners(hulls: Any) -> tuple[FloatArray, ...]:
    """Corners of each hull, anticlockwise, each once."""
    import shapely

    points, owner = shapely.get_coordinates(hulls, return_index=True)
    pieces = np.split(points, np.flatnonzero(np.diff(owner)) + 1)
    filled, ahead = shapely.get_dimensions(hulls) == 2, shapely.is_ccw(shapely.get_exterior_ring(hulls))
    return tuple(
        piece if not full else piece[:-1] if ccw else np.concatenate([piece[:1], piece[-2:0:-1]])
        for piece, full, ccw in zip(pieces, filled.tolist(), ahead.tolist(), strict=True)
    )


def _whole(region: Region) -> Any:
    """The union as geometry: its areas, else its lines, else its points."""
    import shapely

    if region.outlines:
        return shapely.union_all([shapely.Polygon(outer, holes) for outer, *holes in region.outlines])
    lines = [shapely.LineString(piece) for piece in region.pieces if len(piece) == 2]
    return shapely.union_all(lines or [shapely.Point(piece[0]) for piece in region.pieces])
