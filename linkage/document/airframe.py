"""Airframe, loading, tyre and strut of a study."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, GapLength, Length, Mass, Point, PositiveLength, PositiveMass


class MainGear(Entry):
    """Ground contact of the main wheels in the static, level attitude."""

    contact: Point
    track: PositiveLength
    tyre: str = ""
    struts: Annotated[int, Field(ge=1)] = 2


class Propeller(Entry):
    diameter: PositiveLength
    plane_fs: Length
    hub_wl: Length


class CgLimits(Entry):
    forward: Length
    aft: Length
    source: str

    @model_validator(mode="after")
    def _ordered(self) -> CgLimits:
        if self.forward > self.aft:
            raise ValueError(
                f"forward {self.forward:g} mm lies aft of aft {self.aft:g} mm; expected forward at most aft"
            )
        return self


class MeanChord(Entry):
    leading_edge_fs: Length
    length: PositiveLength


class Airframe(Entry):
    name: str
    datum: str
    main_gear: MainGear
    cg_limits: CgLimits
    propeller: Propeller | None = None
    mean_chord: MeanChord | None = None
    tail: Point | None = None
    """Lowest point of the rear fuselage, for tail contact."""


class Empty(Entry):
    mass: PositiveMass
    at: Point


class Item(Entry):
    name: str
    min: Mass
    max: Mass
    at: Point
    bl: Length = 0.0
    optional: bool = False
    group: str | None = None
    """Optional items of one group exclude each other."""
    kind: Literal["payload", "fuel"] = "payload"

    @model_validator(mode="after")
    def _ordered(self) -> Item:
        if self.min > self.max:
            raise ValueError(f"min {self.min:g} kg is above max {self.max:g} kg; expected min at most {self.max:g} kg")
        if self.group is not None and not self.optional:
            raise ValueError(f"group {self.group!r} is for optional items; expected optional = true")
        return self


class LoadingEntry(Entry):
    """Empty aircraft (gear down) and what may be loaded."""

    empty: Empty
    item: tuple[Item, ...] = ()
    max_mass: PositiveMass
    max_zero_fuel_mass: PositiveMass | None = None

    @model_validator(mode="after")
    def _can_be_loaded(self) -> LoadingEntry:
        least = self.empty.mass + sum(i.min for i in self.item if not i.optional)
        if least > self.max_mass:
            raise ValueError(
                f"max_mass {self.max_mass:g} kg is below the least mass {least:g} kg (empty and all items at min);"
                f" expected max_mass at least {least:g} kg"
            )
        return self


class Tyre(Entry):
    """Nose tyre: new at its largest, grown in service, loaded and flat."""

    size: str
    outside_diameter: PositiveLength
    width: PositiveLength
    rim_diameter: PositiveLength
    static_loaded_radius: PositiveLength
    source: str
    least_outside_diameter: PositiveLength | None = None
    grown_diameter: PositiveLength | None = None
    grown_width: PositiveLength | None = None
    flat_radius: PositiveLength | None = None

    @model_validator(mode="after")
    def _sizes(self) -> Tyre:
        if self.outside_diameter <= self.rim_diameter:
            raise ValueError(
                f"outside_diameter {self.outside_diameter:g} mm is not larger than rim_diameter"
                f" {self.rim_diameter:g} mm; expected a tyre larger than its rim"
            )
        if not self.rim_diameter / 2 < self.static_loaded_radius <= self.outside_diameter / 2:
            raise ValueError(
                f"static_loaded_radius {self.static_loaded_radius:g} mm; expected above the rim radius"
                f" {self.rim_diameter / 2:g} mm and at most {self.outside_diameter / 2:g} mm"
            )
        return self


class Strut(Entry):
    """Nose shock strut."""

    stroke: GapLength
    static_compression: GapLength

    @model_validator(mode="after")
    def _within(self) -> Strut:
        if self.static_compression > self.stroke:
            raise ValueError(
                f"static_compression {self.static_compression:g} mm is above stroke {self.stroke:g} mm;"
                f" expected at most {self.stroke:g} mm"
            )
        return self
