"""What shares the engine bay with the gear, how the engine moves, and what the keep-out should be."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Angle, ButtLines, Entry, GapLength, Length, Point, PositiveLength


class RequiredGap(Entry):
    """Gap wanted to an item: one number, or the sum of what it has to hold. A state that really moves the engine, lets
    the tyre grow or takes up play is judged without the part that stands for it."""

    total: GapLength | None = None
    engine_motion: GapLength = 0.0
    growth: GapLength = 0.0
    """Of the tyre in service."""
    deflection: GapLength = 0.0
    """Of gear and airframe under load, and slop in the pins."""
    build: GapLength = 0.0
    heat: GapLength = 0.0

    @model_validator(mode="before")
    @classmethod
    def _number(cls, value: Any) -> Any:
        return {"total": value} if isinstance(value, int | float | str) else value

    @model_validator(mode="after")
    def _one_way(self) -> RequiredGap:
        if (self.total is not None) == bool(self.model_fields_set - {"total"}):
            raise ValueError("expected one number, or its parts engine_motion, growth, deflection, build and heat")
        return self

    @property
    def gap(self) -> float:
        """The whole, mm."""
        if self.total is not None:
            return self.total
        return self.engine_motion + self.growth + self.deflection + self.build + self.heat


class BayItem(Entry):
    """Something the gear must miss: an outline, a circle, a line the gear must stay above, or a file beside the study
    (DXF layer, STL mesh or STEP solid; axes x = FS, y = WL in a DXF, x = FS, y = BL, z = WL in a solid)."""

    name: str
    butt_lines: ButtLines | None = None
    """Needed for everything but a solid, which brings its own."""
    required: RequiredGap
    moves_with: Literal["airframe", "engine"] = "airframe"
    outline: Annotated[tuple[Point, ...], Field(min_length=3)] | None = None
    centre: Point | None = None
    radius: PositiveLength | None = None
    stay_above: Annotated[tuple[Point, ...], Field(min_length=2)] | None = None
    file: str | None = None
    """Path from the folder of the study, inside that folder."""
    layer: str | None = None
    """Layer of a DXF file."""
    file_unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    """For files that do not say: STL, and DXF without units."""
    slices: Annotated[int, Field(ge=1, le=100)] = 8
    """Into how many butt-line slices a solid is cut; fewer are safe but coarser."""
    when: Literal["whole stroke", "stowed"] = "whole stroke"
    ignore_parts: tuple[str, ...] = ()
    hot: bool = False
    note: str = ""

    @model_validator(mode="after")
    def _one_shape(self) -> BayItem:
        circle = self.centre is not None and self.radius is not None
        shapes = [self.outline is not None, circle, self.stay_above is not None, self.file is not None]
        if sum(shapes) != 1 or (self.centre is None) != (self.radius is None):
            raise ValueError("expected one shape: outline, or centre and radius, or stay_above, or file")
        if self.butt_lines is None and (self.file is None or self.file.lower().endswith(".dxf")):
            raise ValueError("butt_lines: expected one or more [low, high]")
        return self


class Bay(Entry):
    item: tuple[BayItem, ...] = ()


class EngineMotion(Entry):
    """Motion of the engine on its rubber mounts about a pivot."""

    pivot: Point
    rock: tuple[Angle, Angle] = (0.0, 0.0)
    sag: GapLength = 0.0
    fore_aft: tuple[Length, Length] = (0.0, 0.0)
    aged_sag: GapLength = 0.0
    """How much lower the engine hangs on mounts at the end of their life."""

    @model_validator(mode="after")
    def _ordered(self) -> EngineMotion:
        for key in ("rock", "fore_aft"):
            low, high = getattr(self, key)
            if low > high:
                raise ValueError(f"{key} [{low:g}, {high:g}]; expected [low, high] with low at most high")
        return self


class Clip(Entry):
    """What of the keep-out is handed over: only above a line, only ahead of a plane."""

    above: Annotated[tuple[Point, ...], Field(min_length=2)] | None = None
    """Polyline from front to aft; beyond its ends it goes on level."""
    ahead_of: Length | None = None
    """FS of the plane."""

    @model_validator(mode="after")
    def _any(self) -> Clip:
        if self.above is None and self.ahead_of is None:
            raise ValueError("expected above, ahead_of or both")
        stations = [fs for fs, _ in self.above or ()]
        if any(b <= a for a, b in pairwise(stations)):
            raise ValueError(f"above: FS {stations}; expected each aft of the one before")
        return self


class KeepOutEntry(Entry):
    allowance: GapLength = 0.0
    tolerance: Annotated[PositiveLength, Field(ge=0.005, le=20)] = 0.1
    """Most by which the keep-out may exceed the truth."""
    inner_zone: bool = False
    """Hand over too where the tyre parts really go, without the allowance."""
    hot_zone: GapLength | None = None
    """Hand over too the hot bay items, grown by this."""
    clip: Clip | None = None
