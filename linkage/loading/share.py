"""The answer on load share: region, extremes and the part inside the wanted band, in one result."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.errors import DocumentError, Fault
from linkage.loading.extremes import CgRange, GroundRange, cg_range, ground_range
from linkage.loading.forms import Stance2
from linkage.loading.model import LoadModel
from linkage.loading.polygon import Region, band_fraction, loading_region


@dataclass(frozen=True)
class LoadShare:
    """Everything about one loading model on one stance.

    ``region`` is taken along aircraft FS (for the mass-CG chart), ``ground_region`` along the ground;
    ``in_band`` is the area fraction of the latter inside ``band`` (see ``polygon``). ``cg_up`` is the range
    with the gear retracted.
    """

    model: LoadModel
    stance: Stance2
    band: tuple[float, float]
    region: Region
    ground_region: Region
    cg: CgRange
    cg_up: CgRange
    ground: GroundRange
    in_band: float


def load_share(
    model: LoadModel, stance: Stance2, band: tuple[float, float], retraction_kgmm: complex = 0j
) -> LoadShare:
    """Solve it. ``band`` in fractions of weight on the nose wheel.

    ``retraction_kgmm`` is the change of the empty moment when the gear goes up, FS part + 1j * WL part, aft
    and up positive. ``DocumentError`` if no loading is feasible or the band is none.
    """
    low, high = band
    if not 0.0 <= low < high <= 1.0:
        raise DocumentError([Fault("nose_share_band", f"{low} to {high}", "0 <= low < high <= 1")], "loading")
    region = loading_region(model)
    level = stance.direction == region.axis
    ground_region = region if level else loading_region(model, stance.direction)
    return LoadShare(
        model,
        stance,
        band,
        region,
        ground_region,
        cg_range(model),
        cg_range(model.gear_moved(retraction_kgmm)),
        ground_range(model, stance),
        band_fraction(ground_region, stance, low, high),
    )
