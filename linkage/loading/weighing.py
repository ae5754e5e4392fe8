"""From scale readings to empty mass and CG. The aircraft is weighed level, so stations are plain distances.

A level weighing says nothing about the height of the CG; that number stays an input of the study.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from linkage.errors import DocumentError, Fault

Per = Literal["wheel", "leg", "group"]


@dataclass(frozen=True)
class Reading:
    """What one scale, or several equal ones, said under one group of wheels.

    ``per`` has no default on purpose: it says what ``reading_kg`` and ``tare_kg`` stand for - each wheel,
    each leg, or the whole group. Taking one for the other spoils the split without looking wrong.
    ``tare_kg`` is chocks and blocks on the scale, taken off. ``station_mm`` is measured from the weighing
    datum, aft positive; ``bl_mm`` right positive.
    """

    name: str
    reading_kg: float
    station_mm: float
    per: Per
    legs: int = 1
    wheels_per_leg: int = 1
    tare_kg: float = 0.0
    bl_mm: float = 0.0

    @property
    def net_kg(self) -> float:
        """Net mass on the whole group, kg."""
        count = {"wheel": self.legs * self.wheels_per_leg, "leg": self.legs, "group": 1}[self.per]
        return count * (self.reading_kg - self.tare_kg)


@dataclass(frozen=True)
class Correction:
    """Something weighed that is not part of the empty aircraft (negative kg), or missing (positive)."""

    name: str
    kg: float
    station_mm: float
    bl_mm: float = 0.0


@dataclass(frozen=True)
class Weighed:
    """Empty mass in kg and its CG: from the weighing datum (aft positive), as aircraft FS, and as BL, mm."""

    mass_kg: float
    station_mm: float
    fs_mm: float
    bl_mm: float


def weigh(
    readings: Sequence[Reading],
    datum_fs_mm: float = 0.0,
    corrections: Sequence[Correction] = (),
    level: bool = True,
) -> Weighed:
    """Sum masses and moments. ``datum_fs_mm`` is the aircraft FS of the point stations are measured from.

    ``DocumentError`` with all faults: not level, no readings, counts below 1, a net reading below 0,
    numbers that are not finite, nothing left.
    """
    faults = _faults(readings, corrections, datum_fs_mm, level)
    if faults:
        raise DocumentError(faults, "weighing")
    entries = [(r.net_kg, r.station_mm, r.bl_mm) for r in readings]
    entries += [(c.kg, c.station_mm, c.bl_mm) for c in corrections]
    mass = math.fsum(kg for kg, _, _ in entries)
    if not mass > 0.0:
        raise DocumentError([Fault("weighing", f"{mass:g} kg in all", "a mass above 0")], "weighing")
    station = math.fsum(kg * x for kg, x, _ in entries) / mass
    return Weighed(mass, station, datum_fs_mm + station, math.fsum(kg * y for kg, _, y in entries) / mass)


def _faults(
    readings: Sequence[Reading], corrections: Sequence[Correction], datum_fs_mm: float, level: bool
) -> list[Fault]:
    faults = []
    if not level:
        faults.append(Fault("weighing.level", "false", "a weighing with the aircraft level"))
    if not readings:
        faults.append(Fault("weighing.readings", "none", "at least one"))
    if not math.isfinite(datum_fs_mm):
        faults.append(Fault("weighing.datum_fs_mm", f"{datum_fs_mm}", "a finite station"))
    for r in readings:
        where = f"weighing.readings[{r.name}]"
        if r.per not in ("wheel", "leg", "group"):
            faults.append(Fault(f"{where}.per", repr(r.per), '"wheel", "leg" or "group"'))
        elif r.legs < 1 or r.wheels_per_leg < 1:
            faults.append(Fault(where, f"{r.legs} legs with {r.wheels_per_leg} wheels", "at least 1 of each"))
        elif not all(math.isfinite(v) for v in (r.net_kg, r.station_mm, r.bl_mm)) or r.net_kg < 0.0:
            found = f"net {r.net_kg:g} kg at {r.station_mm:g}, {r.bl_mm:g} mm"
            faults.append(Fault(where, found, "finite numbers, net mass not below 0"))
    faults += [
        Fault(f"weighing.corrections[{c.name}]", f"{c.kg:g} kg at {c.station_mm:g} mm", "finite numbers")
        for c in corrections
        if not all(math.isfinite(v) for v in (c.kg, c.station_mm, c.bl_mm))
    ]
    return faults
