"""The whole study document."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from linkage.document.airframe import Airframe, LoadingEntry, Strut, Tyre
from linkage.document.bay import Bay, EngineMotion, KeepOutEntry
from linkage.document.gear import GearEntry
from linkage.document.quantities import (
    Angles,
    Area,
    Entry,
    Fractions,
    GapLength,
    Length,
    Lengths,
    Speed,
    Units,
)


class LoadFactor(Entry):
    max: Annotated[float, Field(gt=0)] = 2.0
    source: str = "14 CFR 23.729(a)(1), 2015 edition: gear moving, up to +2.0 g"


class Judgement(Entry):
    """Limits that are judgement or rule: every one may be changed, every one names its source."""

    nose_share: Fractions = Fractions(min=0.15, max=0.20, source="common practice, no source")
    tip_back: Angles = Angles(min=15.0, source="Raymer, Aircraft Design, 6th ed., fig. 11.5")
    steer_axis_tilt: Angles = Angles(min=0.0, max=10.0, source="Raymer, Aircraft Design, 6th ed., fig. 11.5")
    transmission_angle: Angles = Angles(min=20.0, source="assumption of this tool, no source")
    over_centre: Lengths = Lengths(min=1.5, max=8.0, source="common practice, no source")
    load_factor: LoadFactor = LoadFactor()


class Speeds(Entry):
    gear_operating: Speed | None = None
    stall_clean: Speed | None = None
    emergency_extension: Speed | None = None


class Air(Entry):
    """Drag of the gear while it moves: drag area gear down, and where it acts below the trunnion."""

    drag_area: Area
    centre_below_trunnion: Length


class Tolerances(Entry):
    pin_clearance_new: GapLength = 0.0
    pin_clearance_worn: GapLength = 0.0
    link_length: GapLength = 0.0
    pin_position: GapLength = 0.0
    knee_stop: GapLength = 0.0


class StrokeEntry(Entry):
    poses: Annotated[int, Field(ge=11, le=20001)] = 181
    """Rows of the pose table; neither keep-out nor clearance depends on it."""


class Study(Entry):
    """One aircraft, one gear. See docs/study.md for every field with an example."""

    schema_version: Literal[1] = 1
    title: str
    question: str = ""
    units: Units = Units()
    airframe: Airframe
    loading: LoadingEntry
    tyre: Tyre
    strut: Strut
    gear: GearEntry
    bay: Bay = Bay()
    engine: EngineMotion | None = None
    speeds: Speeds = Speeds()
    air: Air | None = None
    tolerances: Tolerances = Tolerances()
    limits: Judgement = Judgement()
    stroke: StrokeEntry = StrokeEntry()
    keep_out: KeepOutEntry = KeepOutEntry()
