"""The nose gear of a study: leg, brace, actuator, springs, masses and parts."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.drive import Celsius, Emergency, Friction, Hand, Hydraulic, LockSpring, Rated, Screw, Seconds
from linkage.document.lock import Door, Fold, LockEntry, LockLink, Moving, UpStop
from linkage.document.quantities import (
    Angle,
    ButtLines,
    Entry,
    GapLength,
    LeastForce,
    Length,
    Place,
    Point,
    PositiveForce,
    PositiveInertia,
    PositiveLength,
    PositiveMass,
    PositivePressure,
    PositiveSectionArea,
)


class Leg(Entry):
    """Trunnion to axle along the leg with the strut extended; the axle may sit aft of the leg line."""

    length: PositiveLength
    axle_offset: Length = 0.0
    swing_up: Annotated[Angle, Field(ge=1, lt=180)]
    tilt: Angle | None = None
    """Steer-axis tilt down and locked, positive top aft. Only with a brace given as drawn."""
    bearings: tuple[Length, Length] | None = None
    """Butt lines of the two trunnion bearings."""
    thrust_bearing: Literal["pushed", "left", "right"] = "pushed"
    """Which bearing takes side load: the one towards which the leg is pushed (a collar at each), or one of them."""
    tow_fitting: Place | None = None
    """{along, offset} with the strut extended; it moves with the axle."""
    stations: tuple[GapLength, ...] = ()
    """Distances down the leg from the trunnion at which its loads are listed, beside trunnion, lug and axle."""
    stop: bool = False
    """A stop between leg and airframe ends the way down."""

    @model_validator(mode="after")
    def _loaded(self) -> Leg:
        if self.bearings is not None and self.bearings[0] >= self.bearings[1]:
            low, high = self.bearings
            raise ValueError(f"bearings [{low:g}, {high:g}]; expected [left, right] with the left butt line below")
        if self.tow_fitting is not None and self.tow_fitting.along is None:
            raise ValueError("tow_fitting: expected {along, offset} on the leg")
        return self


class LinkSection(Entry):
    """Cross-section and material of a brace link, the same along its length, both plates together if there are two."""

    area: PositiveSectionArea
    inertia: PositiveInertia
    """For bending in the side view, about the pins' direction."""
    inertia_across: PositiveInertia | None = None
    """For bending out of the side view. Left out: not the smaller one."""
    modulus: PositivePressure
    yield_strength: PositivePressure
    """In compression."""
    extreme_fibre: PositiveLength | None = None
    """From the middle to the edge in the side view; with it the bending by the over-centre offset is judged."""
    length_factor: Annotated[float, Field(ge=0.1, le=10)] = 1.0
    """Effective length / length; 1 = pin-ended."""
    source: str


class Brace(Entry):
    """Drag brace. Folding: as drawn (``knee``, with ``gear.leg.tilt``), or as link lengths and the over-centre offset
    that the knee stop makes; the other set is derived. Telescoping, or a rigid link whose root slides to ``track_to``:
    its ``length`` from upper pin to lug in the lock, or ``gear.leg.tilt``."""

    kind: Literal["folding", "telescoping", "sliding root"] = "folding"
    upper_pin: Point
    lug: Place
    length: PositiveLength | None = None
    track_to: Point | None = None
    """Far end of the track, which begins at the upper pin."""
    dead_length: GapLength = 0.0
    """Telescoping: shortest possible length less travel."""
    stop: bool | None = None
    """Stop at the knee (or at the end of the telescope or track); left out: yes, unless lock links take its place."""
    knee: Point | None = None
    upper_link: PositiveLength | None = None
    lower_link: PositiveLength | None = None
    over_centre: Length | None = None
    knee_folds: Fold = "up"
    butt_line: Length = 0.0
    """Where the brace pulls: the middle between its plates."""
    upper_section: LinkSection | None = None
    """Upper link, or the whole brace where there is no knee."""
    lower_section: LinkSection | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Brace:
        sizes = (self.upper_link, self.lower_link, self.over_centre)
        given = sum(s is not None for s in sizes)
        if self.lug.along is None:
            raise ValueError("lug: expected {along, offset} on the leg")
        if (self.track_to is not None) != (self.kind == "sliding root"):
            raise ValueError(f"kind {self.kind!r}; expected track_to for 'sliding root', and only then")
        if self.track_to == self.upper_pin:
            raise ValueError("track_to lies on the upper pin; expected the far end of the track")
        if self.kind != "folding":
            if self.knee is not None or given:
                raise ValueError(f"kind {self.kind!r} has no knee; expected length, or gear.leg.tilt")
            return self
        if self.length is not None:
            raise ValueError("length is for a brace without a knee; expected upper_link, lower_link and over_centre")
        if (self.knee is not None) == (given == 3) or given not in (0, 3):
            raise ValueError("expected either knee, or all of upper_link, lower_link and over_centre")
        for name, value in (("upper_link", self.upper_link), ("lower_link", self.lower_link)):
            if value is not None and self.over_centre is not None and self.over_centre >= value:
                raise ValueError(f"over_centre {self.over_centre:g} mm; expected below {name} {value:g} mm")
        return self


class Crank(Entry):
    """Bell-crank between actuator and gear, drawn down and locked: it turns on ``pivot``, the actuator pushes on
    ``gear.actuator.pin``, and a rod runs from ``rod_pin`` on the crank to ``end`` on the gear."""

    pivot: Point
    rod_pin: Point
    drives: Moving
    end: Place


class Actuator(Entry):
    """Root on the airframe and pin on what it pushes; ``pushes = "brace"``: built into a telescoping brace, without."""

    root: Point | None = None
    pushes: Moving | Literal["bell-crank", "brace"]
    pin: Place | None = None
    crank: Crank | None = None
    butt_line: Length = 0.0
    """Where it pushes."""
    dead_length: GapLength = 0.0
    """Shortest possible length less stroke of the bought unit."""
    max_force: PositiveForce | None = None
    rated: tuple[Rated, ...] = ()
    """Rated curve over the length, instead of ``max_force``."""
    cycle_time: Seconds | None = None
    ramp: Annotated[float, Field(gt=0, le=0.5)] = 0.1
    """Part of the cycle time for speeding up, and again for slowing down. 0.1 is an assumption, no source."""
    hydraulic: Hydraulic | None = None
    screw: Screw | None = None
    hand: Hand | None = None
    travel_left_at_lock: GapLength = 0.0
    self_locking: bool = False
    kind: str = ""

    @model_validator(mode="after")
    def _crank(self) -> Actuator:
        if (self.crank is not None) != (self.pushes == "bell-crank"):
            raise ValueError(
                f"pushes {self.pushes!r}; expected a [gear.actuator.crank] for 'bell-crank', and only then"
            )
        if (self.root is None) != (self.pushes == "brace") or (self.pin is None) != (self.pushes == "brace"):
            raise ValueError(f"pushes {self.pushes!r}; expected root and pin unless it is built into the 'brace'")
        if self.pushes == "bell-crank" and self.pin is not None and self.pin.at is None:
            raise ValueError("pin: expected [FS, WL] on the crank, gear down and locked")
        return self

    @model_validator(mode="after")
    def _drive(self) -> Actuator:
        if self.rated and self.max_force is not None:
            raise ValueError("rated: expected either max_force or a rated curve")
        lengths = [p.length for p in self.rated]
        if len(lengths) == 1 or any(b <= a for a, b in pairwise(lengths)):
            raise ValueError(f"rated: lengths {lengths}; expected at least two, each longer than the one before")
        if self.hydraulic is not None and self.screw is not None:
            raise ValueError("hydraulic: expected either a cylinder or a screw")
        needed = {"crank": ("screw", self.screw), "pump": ("hydraulic", self.hydraulic)}
        if self.hand is not None and needed[self.hand.kind][1] is None:
            raise ValueError(
                f"hand: a {self.hand.kind} works on a {needed[self.hand.kind][0]}; expected"
                f" [gear.actuator.{needed[self.hand.kind][0]}]"
            )
        return self


class Spring(Entry):
    """Gas spring from a root on the airframe to a pin on the gear; pushes with these forces at its two lengths in the
    stroke (longest and shortest)."""

    name: str
    root: Point
    on: Moving
    pin: Place
    force_extended: PositiveForce
    force_compressed: PositiveForce
    law: Literal["gas", "linear"] = "gas"
    """Between its two lengths: Boyle's law (force inversely proportional to the gas volume, which shrinks evenly with
    the length), or a straight line."""
    temperature_c: Celsius = 20.0
    """At which the forces are given; gas force follows the absolute temperature."""
    friction: LeastForce = 0.0
    """N, of its seals, against its travel."""

    @model_validator(mode="after")
    def _stiffens(self) -> Spring:
        if self.force_compressed < self.force_extended:
            raise ValueError(
                f"force_compressed {self.force_compressed:g} N is below force_extended {self.force_extended:g} N;"
                f" expected at least {self.force_extended:g} N"
            )
        return self


class MovingMass(Entry):
    name: str
    mass: PositiveMass
    at: Place
    on: Moving = "leg"
    gyration: GapLength = 0.0
    """Radius of gyration about its own centre, side view; 0 for a wheel that turns freely on its axle."""


class Part(Entry):
    """Shape of a piece of the gear: a disc (centre, radius), a bar with round ends (from, to, width), or an outline."""

    name: str
    butt_lines: ButtLines
    centre: Place | None = None
    radius: PositiveLength | None = None
    start: Place | None = Field(default=None, alias="from")
    end: Place | None = Field(default=None, alias="to")
    width: PositiveLength | None = None
    outline: tuple[Place, ...] | None = None
    on: Moving = "leg"
    on_piston: bool = False
    """Moves up the leg with the strut."""
    tyre: bool = False
    steers: bool = False
    """Turns with the wheel about the leg line; a tyre always does."""
    profile: Annotated[tuple[tuple[GapLength, PositiveLength], ...], Field(min_length=2)] | None = None
    """Section of a disc: [distance from its middle butt line, radius there], from the middle outwards. The disc is cut
    into slices, each with the widest radius in it."""
    shoulder: PositiveLength | None = None
    """Radius of the rounded edges of a disc, instead of ``profile``."""
    slices: Annotated[int, Field(ge=2, le=50)] = 6
    """Into how many slices a rounded edge is cut."""

    @model_validator(mode="after")
    def _section(self) -> Part:
        if self.profile is None and self.shoulder is None:
            return self
        if self.radius is None or len(self.butt_lines) != 1 or (self.profile is not None and self.shoulder is not None):
            raise ValueError("expected profile or shoulder, for a disc with one butt-line interval")
        low, high = self.butt_lines[0]
        half = (high - low) / 2
        if self.shoulder is not None and self.shoulder > min(half, self.radius):
            raise ValueError(f"shoulder {self.shoulder:g} mm; expected at most {min(half, self.radius):g} mm")
        for (near, wide), (far, narrow) in pairwise(self.profile or ()):
            if far <= near or narrow > wide:
                raise ValueError(f"profile at {far:g} mm; expected distances that rise and radii that do not")
        if self.profile is not None:
            (first, top), (last, _) = self.profile[0], self.profile[-1]
            if first != 0 or abs(top - self.radius) > 1e-9 or abs(last - half) > 1e-9:
                raise ValueError(
                    f"profile from [{first:g}, {top:g}] to {last:g} mm; expected from [0, radius {self.radius:g}]"
                    f" to half the width, {half:g} mm"
                )
        return self

    @model_validator(mode="after")
    def _one_shape(self) -> Part:
        disc = self.centre is not None and self.radius is not None
        bar = self.start is not None and self.end is not None and self.width is not None
        plate = self.outline is not None
        given = [self.centre, self.radius, self.start, self.end, self.width, self.outline]
        used = 2 * disc + 3 * bar + plate
        if sum([disc, bar, plate]) != 1 or sum(g is not None for g in given) != used:
            raise ValueError("expected one shape: centre and radius, or from, to and width, or outline")
        return self


class GearEntry(Entry):
    folds: Literal["aft", "forward"]
    trunnion: Point
    leg: Leg
    brace: Brace
    lock_link: LockLink | None = None
    lock: LockEntry | None = None
    up_stop: UpStop | None = None
    door: tuple[Door, ...] = ()
    actuator: Actuator
    spring: tuple[Spring, ...] = ()
    lock_spring: tuple[LockSpring, ...] = ()
    friction: Friction | None = None
    emergency: Emergency | None = None
    mass: tuple[MovingMass, ...] = ()
    part: tuple[Part, ...] = ()
    neighbours: tuple[tuple[str, str], ...] = ()
    """Pairs of parts that are joined or guided and may touch."""
    self_gap: GapLength = 0.0

    @model_validator(mode="after")
    def _drawn_or_sized(self) -> GearEntry:
        if self.brace.kind != "folding":
            if (self.leg.tilt is not None) == (self.brace.length is not None):
                raise ValueError("brace without a knee; expected either leg.tilt or brace.length")
        elif (self.leg.tilt is not None) != (self.brace.knee is not None):
            raise ValueError("expected leg.tilt together with brace.knee (as drawn), and neither with link lengths")
        return self
