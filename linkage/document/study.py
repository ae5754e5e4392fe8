"""The whole study document."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.airframe import Airframe, Strut, Tyre
from linkage.document.bay import Bay, EngineMotion, KeepOutEntry
from linkage.document.conditions import ConditionsEntry
from linkage.document.drive import Celsius
from linkage.document.gear import GearEntry
from linkage.document.loading import LoadingEntry
from linkage.document.quantities import (
    Angle,
    Angles,
    Area,
    Entry,
    Factor,
    Fractions,
    LeastForce,
    Length,
    Lengths,
    PositiveFactor,
    Speed,
    Units,
    Velocities,
)
from linkage.document.springs import Springs
from linkage.document.states import StateEntry
from linkage.document.tolerances import Tolerances
from linkage.document.wanted import Wanted


class LoadFactor(Entry):
    max: PositiveFactor = 2.0
    min: PositiveFactor = 1.0
    source: str = "14 CFR 23.729(a)(1), 2015 edition: gear moving, up to +2.0 g"

    @model_validator(mode="after")
    def _ordered(self) -> LoadFactor:
        if self.min > self.max:
            raise ValueError(f"min {self.min:g} is above max {self.max:g}; expected min at most {self.max:g}")
        return self


class AirSpeed(Entry):
    """Highest speed at which the gear moves, as a factor on the stall speed with flaps up."""

    factor: PositiveFactor = 1.6
    source: str = "14 CFR 23.729(a)(1), 2015 edition: gear moving, air loads up to 1.6 V_S1, flaps up"


class ForwardInertia(Entry):
    """Forward force at the CG, in weights, under which a nose tyre's dynamic rating is judged."""

    factor: Factor = 0.31
    source: str = "14 CFR 23.733(a)(2), 2015 edition"


class Judgement(Entry):
    """Limits that are judgement or rule: every one may be changed, every one names its source."""

    nose_share: Fractions = Fractions.given(min=0.15, max=0.20, source="common practice, no source")
    tip_back: Angles = Angles.given(min=15.0, source="Raymer, Aircraft Design, 6th ed., fig. 11.5")
    turnover: Angles = Angles.given(
        max=63.0, source="Raymer, Aircraft Design, 6th ed., fig. 11.5 (Roskam II p. 219: 55 deg)"
    )
    propeller: Lengths = Lengths.given(min=177.8, source="14 CFR 23.925(a), 2015 edition: 7 in, nose wheel, static")
    propeller_flat: Lengths = Lengths.given(min=0.0, source="14 CFR 23.925(a), 2015 edition: tyre flat, strut bottomed")
    tyre_inertia: ForwardInertia = ForwardInertia.given()
    steer_axis_tilt: Angles = Angles.given(min=0.0, max=10.0, source="Raymer, Aircraft Design, 6th ed., fig. 11.5")
    transmission_angle: Angles = Angles.given(min=20.0, source="assumption of this tool, no source")
    over_centre: Lengths = Lengths.given(min=1.5, max=8.0, source="common practice, no source")
    lock_travel: Lengths = Lengths.given(min=0.5, source="assumption of this tool, no source")
    """Actuator travel between dead centre and lock: the shortfall that would lose the lock."""
    lock_reserve: Lengths = Lengths.given(min=1.0, source="assumption of this tool, no source")
    """Actuator travel left beyond the furthest place on the way into the lock."""
    load_factor: LoadFactor = LoadFactor.given()
    air_speed: AirSpeed = AirSpeed.given()
    spring_health: Fractions = Fractions.given(min=0.8, max=1.0, source="common practice, no source")
    """Part of its force that a gas spring has when it is due for replacement, and when new."""
    extension_slam: Velocities = Velocities.given(max=1.5, source="assumption of this tool, no source")
    """Speed of the axle as the leg runs into its straight brace in emergency extension."""


class Speeds(Entry):
    gear_operating: Speed | None = None
    stall_clean: Speed | None = None
    emergency_extension: Speed | None = None

    @model_validator(mode="after")
    def _ordered(self) -> Speeds:
        names = ("stall_clean", "emergency_extension", "gear_operating")
        given = [(n, v) for n in names if (v := getattr(self, n)) is not None]
        for (low, slow), (high, fast) in pairwise(given):
            if slow > fast:
                raise ValueError(f"{low} {slow:g} m/s is above {high} {fast:g} m/s; expected at most {fast:g} m/s")
        return self


class Air(Entry):
    """Drag of the gear while it moves: drag area gear down, and where it acts below the trunnion, on the leg line.

    ``area``: how the drag area goes with the swing: "constant"; "projected", as the leg's length square to the wind; or
    pairs [swing in deg, part of the drag area]. ``thrust`` blows its slipstream over the gear (momentum theory, needs
    airframe.propeller). ``incidence``: angle of the wind to the FS axis, positive nose up.
    """

    drag_area: Area
    centre_below_trunnion: Length
    area: Literal["constant", "projected"] | tuple[tuple[float, Factor], ...] = "constant"
    thrust: LeastForce = 0.0
    incidence: Angle = 0.0
    density: Annotated[float, Field(ge=0.05, le=5)] = 1.225
    """kg/m3; 1.225 is sea level of the standard atmosphere, ISO 2533."""
    source: str = ""

    @model_validator(mode="after")
    def _rising(self) -> Air:
        if not isinstance(self.area, str):
            swings = [a for a, _ in self.area]
            if len(swings) < 2 or any(b <= a for a, b in pairwise(swings)):
                raise ValueError(f"area: swings {swings}; expected at least two, each greater than the one before")
        return self


class Temperatures(Entry):
    """Coldest and warmest gas springs in service, deg C."""

    cold_c: Celsius = -20.0
    warm_c: Celsius = 40.0
    source: str = "assumption of this tool, no source"

    @model_validator(mode="after")
    def _ordered(self) -> Temperatures:
        if self.cold_c > self.warm_c:
            raise ValueError(
                f"cold_c {self.cold_c:g} is above warm_c {self.warm_c:g}; expected at most {self.warm_c:g}"
            )
        return self


class StrokeEntry(Entry):
    poses: Annotated[int, Field(ge=11, le=20001)] = 181
    """Rows of the pose table; neither keep-out nor clearance depends on it."""


class Study(Entry):
    """One aircraft, one gear."""

    schema_version: Literal[1] = 1
    title: str
    question: str = ""
    units: Units = Units.given()
    airframe: Airframe
    loading: LoadingEntry
    tyre: Tyre
    strut: Strut
    springs: Springs = Springs.given()
    gear: GearEntry
    bay: Bay = Bay.given()
    engine: EngineMotion | None = None
    speeds: Speeds = Speeds.given()
    air: Air | None = None
    temperatures: Temperatures = Temperatures.given()
    tolerances: Tolerances = Tolerances.given()
    limits: Judgement = Judgement.given()
    conditions: ConditionsEntry = ConditionsEntry.given()
    stroke: StrokeEntry = StrokeEntry.given()
    keep_out: KeepOutEntry = KeepOutEntry.given()
    state: tuple[StateEntry, ...] = ()
    """Further states of gear and engine, beside the nominal one that is always there."""
    wanted: Wanted | None = None
    """Wishes of ``noseleg find``; nothing else reads them."""
