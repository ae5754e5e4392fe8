"""Airframe, tyre and strut of a study."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, GapLength, Length, Point, PositiveForce, PositiveLength
from linkage.tyres import PUBLISHED, published


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
    lateral: GapLength | None = None
    """Greatest offset of the CG to either side."""

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


PUBLISHED_FIELDS = {
    "outside_diameter": "diameter_max",
    "least_outside_diameter": "diameter_min",
    "width": "width_max",
    "rim_diameter": "rim",
    "static_loaded_radius": "loaded_radius",
}
"""Field of a tyre -> column of the published sizes that fills it."""


class Tyre(Entry):
    """Nose tyre: new at its largest, grown in service, loaded and flat.

    A published ``size`` (linkage.tyres) fills what is left out of its dimensions; ``source`` is then needed only for
    dimensions of one's own.
    """

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
    rated_dynamic_load: PositiveForce | None = None
    """Approved dynamic rating, the one 14 CFR 23.733(a)(2) asks for."""

    @model_validator(mode="before")
    @classmethod
    def _from_the_table(cls, value: Any) -> Any:
        if not isinstance(value, dict) or not isinstance(value.get("size"), str):
            return value
        own = [name for name in PUBLISHED_FIELDS if name in value]
        row = published(value["size"])
        if row is None:
            if own:
                return value
            raise ValueError(
                f"size {value['size']!r} is not in the published sizes; expected one of {', '.join(PUBLISHED)}, or its"
                f" outside_diameter, width, rim_diameter, static_loaded_radius and source"
            )
        filled = {field: row.text(column) for field, column in PUBLISHED_FIELDS.items()}
        return {**filled, **({} if own else {"source": row.source}), **value}

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
