"""One comparison of a package: what was found, what was expected, whether that is good enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linkage.handoff.model import NamedSolid, Slab
from linkage.handoff.readers import Body
from linkage.handoff.stack import Measures, measured, stacked

NUMBERS_AGREE = 1e-9
LENGTHS_AGREE = 1e-6
"""mm. Bounds of a file may lie inside the slabs' by no more: that is what changing the unit there and back costs."""


@dataclass(frozen=True)
class Check:
    """``passed`` is ``None`` if the comparison could not be made; ``found`` then says why."""

    subject: str
    passed: bool | None
    found: str
    expected: str = ""


def same(subject: str, found: object, expected: object) -> Check:
    """Equal or not."""
    return Check(subject, found == expected, str(found), str(expected))


def agree(subject: str, found: float, expected: float) -> Check:
    """Equal numbers, but for the order in which they were summed."""
    near = abs(found - expected) <= NUMBERS_AGREE * max(1.0, abs(expected))
    return Check(subject, near, repr(found), repr(expected))


def between(subject: str, found: float, least: float, most: float) -> Check:
    """Never smaller than the truth, and not larger than promised."""
    slack = NUMBERS_AGREE * abs(least)
    return Check(subject, least - slack <= found <= most + slack, f"{found:.3f}", f"{least:.3f} to {most:.3f}")


def encloses(subject: str, found: Sequence[float], inner: Sequence[float], tolerance: float) -> Check:
    """Bounds (all low, then all high) that hold ``inner`` and reach at most ``tolerance`` mm further."""
    half = len(inner) // 2
    over = [i - f for f, i in zip(found[:half], inner[:half], strict=True)]
    over += [f - i for f, i in zip(found[half:], inner[half:], strict=True)]
    good = len(found) == len(inner) and all(-LENGTHS_AGREE <= v <= tolerance + LENGTHS_AGREE for v in over)
    return Check(subject, good, _lengths(found), f"{_lengths(inner)}, up to {tolerance:g} mm more")


def body_checks(file: str, body: Body, solid: NamedSolid, tolerance: float) -> list[Check]:
    """Volume, bounds and soundness of one solid of one file against the exact slabs."""
    truth, slabs = measured(solid), stacked(solid)
    most = sum(s.region.buffer(1.01 * tolerance).area * (s.bl_hi - s.bl_lo) for s in slabs)
    where = f"{file}: {solid.name}: "
    return [
        Check(where + "closed and valid", body.sound, "yes" if body.sound else "no", "yes"),
        between(where + "volume, mm3", body.volume_mm3, truth.volume_mm3, most * (1 + 1e-6)),
        encloses(where + "bounds, mm", body.bounds_mm, truth.bounds_mm, tolerance),
    ]


def measure_checks(file: str, name: str, written: Measures, solid: NamedSolid) -> list[Check]:
    """Written numbers against those recomputed from the slabs."""
    truth = measured(solid)
    where = f"{file}: {name}: "
    return [
        agree(where + "volume, mm3", written.volume_mm3, truth.volume_mm3),
        agree(where + "side-view area, mm2", written.side_area_mm2, truth.side_area_mm2),
        encloses(where + "bounds, mm", written.bounds_mm, truth.bounds_mm, 0.0),
    ]


def table_check(file: str, head: list[str], rows: list[list[str]], slabs: Sequence[Slab], factor: float) -> Check:
    """The boxes of the station table enclose the slabs."""
    import shapely

    boxes = [[float(cell) * factor for cell in row] for row in rows]
    expected = "boxes enclose every slab"
    if len(head) != 6 or not boxes:
        return Check(f"{file}: rows", False, f"{len(head)} columns, {len(rows)} rows", expected)
    for slab in slabs:
        near = [b for b in boxes if b[0] <= slab.bl_lo + LENGTHS_AGREE and b[1] >= slab.bl_hi - LENGTHS_AGREE]
        union = shapely.union_all([shapely.box(b[2], b[4], b[3], b[5]) for b in near]).buffer(2 * LENGTHS_AGREE)
        if not union.covers(slab.region):
            return Check(f"{file}: rows", False, f"slab BL {slab.bl_lo:g} to {slab.bl_hi:g} is not enclosed", expected)
    return Check(f"{file}: rows", True, f"{len(rows)} boxes enclose every slab", expected)


def _lengths(values: Sequence[float]) -> str:
    return "[" + ", ".join(f"{v:.4f}" for v in values) + "]"
