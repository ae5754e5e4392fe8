"""What shares the engine bay with the gear, how the engine moves, and what the keep-out should be."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Angle, ButtLines, Entry, GapLength, Length, Point, PositiveLength


class BayItem(Entry):
    """Something the gear must miss: an outline, a circle, a line the gear must stay above, or a file beside the study
    (DXF layer, STL mesh or STEP solid; axes x = FS, y = WL in a DXF, x = FS, y = BL, z = WL in a solid)."""

    name: str
    butt_lines: ButtLines | None = None
    """Needed for everything but a solid, which brings its own."""
    required: GapLength
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


class KeepOutEntry(Entry):
    allowance: GapLength = 0.0
    tolerance: PositiveLength = 0.1
    """Most by which the keep-out may exceed the truth."""
