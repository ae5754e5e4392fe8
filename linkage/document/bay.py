"""What shares the engine bay with the gear, how the engine moves, and what the keep-out should be."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Angle, ButtLines, Entry, GapLength, Length, Point, PositiveLength


class BayItem(Entry):
    """Something the gear must miss: an outline, a circle, or a line the gear must stay above."""

    name: str
    butt_lines: ButtLines
    required: GapLength
    moves_with: Literal["airframe", "engine"] = "airframe"
    outline: Annotated[tuple[Point, ...], Field(min_length=3)] | None = None
    centre: Point | None = None
    radius: PositiveLength | None = None
    stay_above: Annotated[tuple[Point, ...], Field(min_length=2)] | None = None
    when: Literal["whole stroke", "stowed"] = "whole stroke"
    ignore_parts: tuple[str, ...] = ()
    hot: bool = False
    note: str = ""

    @model_validator(mode="after")
    def _one_shape(self) -> BayItem:
        circle = self.centre is not None and self.radius is not None
        shapes = [self.outline is not None, circle, self.stay_above is not None]
        if sum(shapes) != 1 or (self.centre is None) != (self.radius is None):
            raise ValueError("expected one shape: outline, or centre and radius, or stay_above")
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
