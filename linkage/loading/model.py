"""What may be aboard: items with limits, the caps over them, and one concrete loading.

Units kg and mm in the aircraft frame (docs/conventions.md). Nothing here solves anything.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import mul
from typing import Any, Literal

from linkage.errors import DocumentError, Fault

Kind = Literal["payload", "fuel"]


@dataclass(frozen=True)
class LoadItem:
    """One thing that can be loaded.

    ``min_kg <= mass <= max_kg`` while it is aboard. ``optional`` items may also be left out. Items of one
    ``group`` share a place: exactly one of them is aboard, or none if every item of the group is optional.
    ``kind`` says whether the zero-fuel cap counts it. Arms are aircraft stations in mm.
    """

    name: str
    min_kg: float
    max_kg: float
    fs_mm: float
    wl_mm: float
    bl_mm: float = 0.0
    optional: bool = False
    group: str | None = None
    kind: Kind = "payload"

    @property
    def arm(self) -> complex:
        """Place in the side view, ``FS + 1j*WL``, mm."""
        return complex(self.fs_mm, self.wl_mm)


@dataclass(frozen=True)
class LoadCase:
    """One concrete loading: kg of every item in model order (0 = left out), total kg, CG in mm."""

    masses: tuple[tuple[str, float], ...]
    mass_kg: float
    fs_mm: float
    wl_mm: float
    bl_mm: float = 0.0

    @property
    def cg(self) -> complex:
        """CG in the side view, ``FS + 1j*WL``, mm."""
        return complex(self.fs_mm, self.wl_mm)

    @property
    def moment_kgmm(self) -> float:
        """Moment about FS 0, kg mm, tail-heavy positive."""
        return self.mass_kg * self.fs_mm

    def kg(self, name: str) -> float:
        """Mass of one item, kg. ``KeyError`` if the model has no such item."""
        return dict(self.masses)[name]

    def __str__(self) -> str:
        aboard = ", ".join(f"{name} {kg:.4g}" for name, kg in self.masses if kg > 0.0)
        return f"{self.mass_kg:.5g} kg ({aboard or 'empty'})"


@dataclass(frozen=True)
class LoadModel:
    """Empty aircraft, items and caps. ``DocumentError`` with all faults if a number cannot be meant.

    ``mass_cap_kg`` bounds the total, ``zero_fuel_cap_kg`` the total without items of kind "fuel",
    ``min_mass_kg`` is the least total that counts as a loading. All in kg; the empty CG in mm, gear down.
    """

    empty_kg: float
    empty_fs_mm: float
    empty_wl_mm: float
    items: tuple[LoadItem, ...]
    mass_cap_kg: float
    zero_fuel_cap_kg: float | None = None
    min_mass_kg: float | None = None
    empty_bl_mm: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "items", tuple(self.items))
        faults = [*_airframe_faults(self), *_item_faults(self.items)]
        if faults:
            raise DocumentError(faults, "loading")

    @property
    def names(self) -> tuple[str, ...]:
        """Item names in order."""
        return tuple(item.name for item in self.items)

    def case(self, masses: Sequence[float]) -> LoadCase:
        """The loading with these kg in item order. Its limits are not checked: see :func:`case_faults`."""
        kg = [float(m) for m in masses]
        if len(kg) != len(self.items):
            raise ValueError(f"{len(kg)} masses for {len(self.items)} items")
        total = math.fsum([self.empty_kg, *kg])

        def centre(empty: float, arms: Sequence[float]) -> float:
            return math.fsum((self.empty_kg * empty, *map(mul, kg, arms))) / total

        names, fs, wl, bl = self._columns
        return LoadCase(
            tuple(zip(names, kg, strict=True)),
            total,
            centre(self.empty_fs_mm, fs),
            centre(self.empty_wl_mm, wl),
            centre(self.empty_bl_mm, bl),
        )

    @cached_property
    def _columns(self) -> tuple[tuple[Any, ...], ...]:
        """Names and arms of all items."""
        return tuple(zip(*((i.name, i.fs_mm, i.wl_mm, i.bl_mm) for i in self.items), strict=True)) or ((),) * 4

    def case_of(self, masses: Mapping[str, float]) -> LoadCase:
        """The loading with these kg by name, the rest left out. ``DocumentError`` on an unknown name."""
        unknown = [n for n in masses if n not in self.names]
        if unknown:
            raise DocumentError(
                [Fault(f"loading.items[{n}]", "no such item", f"one of {', '.join(self.names)}") for n in unknown],
                "loading",
            )
        return self.case([masses.get(name, 0.0) for name in self.names])

    def gear_moved(self, moment_kgmm: complex) -> LoadModel:
        """The same model, empty moment changed by ``moment_kgmm`` (FS part + 1j * WL part): gear up."""
        shift = moment_kgmm / self.empty_kg
        return replace(self, empty_fs_mm=self.empty_fs_mm + shift.real, empty_wl_mm=self.empty_wl_mm + shift.imag)


def case_faults(model: LoadModel, case: LoadCase) -> tuple[Fault, ...]:
    """Every limit of the model that this loading breaks, empty if none."""
    faults = []
    kg = dict(case.masses)
    for item in model.items:
        out = kg[item.name] == 0.0 and (item.optional or item.group is not None)
        if not out and not item.min_kg <= kg[item.name] <= item.max_kg:
            expected = f"{item.min_kg:g} to {item.max_kg:g} kg" + (", or left out" if item.optional else "")
            faults.append(Fault(f"loading.items[{item.name}]", f"{kg[item.name]:g} kg", expected))
    for group, members in groups(model.items).items():
        aboard = [i.name for i in members if kg[i.name] > 0.0]
        may_be_empty = all(i.optional for i in members) or any(i.min_kg == 0.0 for i in members)
        if len(aboard) > 1 or (not aboard and not may_be_empty):
            expected = "one of " + ", ".join(i.name for i in members)
            faults.append(Fault(f"loading.groups[{group}]", " and ".join(aboard) or "none aboard", expected))
    dry = case.mass_kg - math.fsum(kg[i.name] for i in model.items if i.kind == "fuel")
    limits = (
        ("mass_cap_kg", case.mass_kg, 0.0, model.mass_cap_kg),
        ("zero_fuel_cap_kg", dry, 0.0, model.zero_fuel_cap_kg),
        ("min_mass_kg", case.mass_kg, model.min_mass_kg, math.inf),
    )
    for name, found, low, high in limits:
        if low is not None and high is not None and not low - rounding(found) <= found <= high + rounding(found):
            faults.append(Fault(f"loading.{name}", f"{found:g} kg", f"{low:g} to {high:g} kg"))
    return tuple(faults)


def rounding(mass_kg: float) -> float:
    """What the sum of a dozen masses may be off by in double precision, kg. No judgement in it."""
    return 1e-12 * abs(mass_kg)


def groups(items: Sequence[LoadItem]) -> dict[str, list[LoadItem]]:
    """Group name -> its items, in order."""
    found: dict[str, list[LoadItem]] = {}
    for item in items:
        if item.group is not None:
            found.setdefault(item.group, []).append(item)
    return found


def _airframe_faults(model: LoadModel) -> list[Fault]:
    faults = [
        Fault(f"loading.{name}", f"{value} mm", "a finite station")
        for name in ("empty_fs_mm", "empty_wl_mm", "empty_bl_mm")
        if not math.isfinite(value := getattr(model, name))
    ]
    for name in ("empty_kg", "mass_cap_kg", "zero_fuel_cap_kg", "min_mass_kg"):
        value = getattr(model, name)
        if value is not None and not (math.isfinite(value) and value > 0.0):
            faults.append(Fault(f"loading.{name}", f"{value} kg", "a finite mass above 0"))
    return faults


def _item_faults(items: Sequence[LoadItem]) -> list[Fault]:
    faults = []
    seen: set[str] = set()
    for item in items:
        where = f"loading.items[{item.name}]"
        if item.name in seen:
            faults.append(Fault(where, "the name stands twice", "a name of its own for every item"))
        seen.add(item.name)
        if not all(math.isfinite(a) for a in (item.fs_mm, item.wl_mm, item.bl_mm)):
            faults.append(Fault(where, f"arm ({item.fs_mm}, {item.wl_mm}, {item.bl_mm}) mm", "finite stations"))
        if not (math.isfinite(item.max_kg) and 0.0 <= item.min_kg <= item.max_kg):
            found = f"min {item.min_kg} kg, max {item.max_kg} kg"
            faults.append(Fault(where, found, "0 <= min_kg <= max_kg, both finite"))
        if item.kind not in ("payload", "fuel"):
            faults.append(Fault(f"{where}.kind", repr(item.kind), '"payload" or "fuel"'))
    return faults
