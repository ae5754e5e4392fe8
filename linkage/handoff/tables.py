"""CSV tables for people with a spreadsheet. Lengths in the package's unit, rounded outward."""

from __future__ import annotations

import csv
import io
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

import shapely
from shapely.affinity import scale
from shapely.geometry.base import BaseGeometry

from linkage.files import spreadsheet_safe
from linkage.handoff.arcs import polygons_of
from linkage.handoff.model import Pin, Slab, Unit
from linkage.units import FACTORS

DIGITS = {"mm": 3, "in": 4}
SLACK = 1e-6


def station_table(slabs: Sequence[Slab], step: float, unit: Unit) -> str:
    """Bottom and top waterline of the slabs from station to station, ``step`` (in ``unit``) apart.

    Guarantee: the boxes (FS from-to) x (WL bottom-top) x (BL from-to) of all rows enclose the slabs (to 1e-6 mm). One
    stretch of stations has more than one row where there is room between.
    """
    columns = ["bl_from", "bl_to", "fs_from", "fs_to", "wl_bottom", "wl_top"]
    factor, digits = FACTORS["length"][unit], DIGITS[unit]
    rows = []
    for slab in slabs:
        bl = [outward(slab.bl_lo / factor, digits, -1), outward(slab.bl_hi / factor, digits, 1)]
        region = scale(slab.region, 1 / factor, 1 / factor, origin=(0, 0))
        rows += [[*bl, *strip] for strip in _strips(region, step, digits)]
    return _text([f"{c}_{unit}" for c in columns], ([f"{v:.{digits}f}" for v in row] for row in rows))


def pin_table(pins: Sequence[Pin], unit: Unit) -> str:
    """Every pin, gear down and gear up, to the nearest digit."""
    columns = ["fs_down", "wl_down", "fs_up", "wl_up"]
    factor, digits = FACTORS["length"][unit], DIGITS[unit]
    rows = (
        [
            spreadsheet_safe(pin.name),
            *(f"{v / factor:.{digits}f}" for z in (pin.down, pin.up) for v in (z.real, z.imag)),
        ]
        for pin in pins
    )
    return _text(["pin", *(f"{c}_{unit}" for c in columns)], rows)


def outward(value: float, digits: int, side: int) -> float:
    """Round down (``side`` = -1) or up (+1), but leave alone what already has so few digits (to 1e-9)."""
    nearest = round(value, digits)
    if abs(nearest - value) < 1e-9:
        return nearest
    power = 10.0**digits
    return (math.floor(value * power) if side < 0 else math.ceil(value * power)) / power


def _strips(region: BaseGeometry, step: float, digits: int) -> Iterator[tuple[float, float, float, float]]:
    """FS from, to, WL bottom, top of every piece of the region between neighbouring stations."""
    fs_lo, wl_lo, fs_hi, wl_hi = region.bounds
    stations = [round(k * step, digits) for k in range(math.floor(fs_lo / step), math.ceil(fs_hi / step) + 1)]
    for left, right in itertools.pairwise(stations):
        # Clipped a hair wider than said: the corners that clipping makes are rounded too.
        piece = region.intersection(shapely.box(left - SLACK, wl_lo - 1, right + SLACK, wl_hi + 1))
        lo, hi = max(left, outward(fs_lo, digits, -1)), min(right, outward(fs_hi, digits, 1))
        for bottom, top in _merged(sorted((p.bounds[1], p.bounds[3]) for p in polygons_of(piece))):
            yield lo, hi, outward(bottom, digits, -1), outward(top, digits, 1)


def _merged(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for low, high in spans:
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out


def _text(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue()
