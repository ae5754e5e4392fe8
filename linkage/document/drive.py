"""What the actuator, the springs and the pins can do: ratings, sizing, friction, emergency extension."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from linkage.document.lock import Moving
from linkage.document.quantities import (
    Entry,
    GapLength,
    LeastForce,
    Place,
    PositiveFactor,
    PositiveForce,
    PositiveLength,
    PositiveMass,
    PositivePressure,
    PositiveSpeed,
    Stiffness,
)

Fraction = Annotated[float, Field(ge=0, le=1)]
Efficiency = Annotated[float, Field(gt=0, le=1)]
Celsius = Annotated[float, Field(gt=-273.15, le=200)]
Seconds = Annotated[float, Field(ge=0.01, le=3600)]


class Rated(Entry):
    """A point of the rated curve: what the actuator can push (and pull, else the same) at this length."""

    length: PositiveLength
    push: PositiveForce
    pull: PositiveForce | None = None


class Hydraulic(Entry):
    """Cylinder: working pressure at its port, and the pressure that stands against it on the other side."""

    bore: PositiveLength
    rod: PositiveLength
    pressure: PositivePressure
    back_pressure: PositivePressure | None = None
    efficiency: Efficiency = 0.95
    """Force at the rod / (pressure x area): seals. 0.95 is an assumption of this tool, no source."""

    @model_validator(mode="after")
    def _rod_inside(self) -> Hydraulic:
        if self.rod >= self.bore:
            raise ValueError(f"rod {self.rod:g} mm is not thinner than the bore; expected below {self.bore:g} mm")
        if self.back_pressure is not None and self.back_pressure >= self.pressure:
            raise ValueError(
                f"back_pressure {self.back_pressure:g} MPa leaves nothing of the pressure;"
                f" expected below {self.pressure:g} MPa"
            )
        return self


class Screw(Entry):
    """Electric screw: lead, mean diameter and friction of the thread; ``efficiency`` of motor gear and bearings."""

    lead: PositiveLength
    mean_diameter: PositiveLength
    friction: Annotated[float, Field(ge=0, lt=1)]
    flank_angle: Annotated[float, Field(ge=0, lt=60)] = 14.5
    """Half the thread angle, deg: 14.5 Acme, 15 metric trapezoidal, 0 square."""
    collar_diameter: GapLength = 0.0
    collar_friction: Annotated[float, Field(ge=0, lt=1)] = 0.0
    efficiency: Efficiency = 0.8
    """0.8 is an assumption of this tool, no source."""
    motor_power_w: Annotated[float, Field(gt=0, le=1e6)] | None = None


class Hand(Entry):
    """Crank on the screw, or hand pump on the cylinder, and the effort that may be asked of a pilot."""

    kind: Literal["crank", "pump"]
    arm: PositiveLength
    """Crank radius, or length of the pump handle."""
    ratio: Annotated[float, Field(ge=1e-3, le=1e3)] = 1.0
    """Crank turns for one turn of the screw."""
    piston: PositiveLength | None = None
    """Diameter of the pump's piston."""
    throw: PositiveLength | None = None
    """Stroke of the pump's piston for one stroke of the handle."""
    handle_stroke: PositiveLength | None = None
    """Way of the handle's grip for one stroke."""
    efficiency: Efficiency = 0.8
    effort: PositiveForce
    source: str

    @model_validator(mode="after")
    def _pump(self) -> Hand:
        sizes = (self.piston, self.throw, self.handle_stroke)
        if any((s is not None) != (self.kind == "pump") for s in sizes):
            raise ValueError(f"kind {self.kind!r}; expected piston, throw and handle_stroke for 'pump', and only then")
        return self


class PinFriction(Entry):
    """Friction circle of a pin: its radius, or the coefficient that makes it (radius x mu / sqrt(1 + mu^2))."""

    pin_radius: PositiveLength
    friction_radius: GapLength | None = None
    coefficient: Annotated[float, Field(ge=0, le=2)] | None = None

    @model_validator(mode="after")
    def _within_the_pin(self) -> PinFriction:
        if (self.friction_radius is None) == (self.coefficient is None):
            raise ValueError("expected either friction_radius or coefficient")
        if self.friction_radius is not None and self.friction_radius > self.pin_radius:
            raise ValueError(
                f"friction_radius {self.friction_radius:g} mm is larger than the pin; expected at most pin_radius"
                f" {self.pin_radius:g} mm (friction radius = pin radius x mu / sqrt(1 + mu^2))"
            )
        return self

    @property
    def radius(self) -> float:
        """Radius of the friction circle, mm."""
        mu = self.coefficient or 0.0
        return self.friction_radius if self.friction_radius is not None else self.pin_radius * mu / (1 + mu * mu) ** 0.5


class NamedPinFriction(PinFriction):
    name: str


class Friction(PinFriction):
    """Friction of every pin of the gear; ``pin`` names those that differ."""

    pin: tuple[NamedPinFriction, ...] = ()
    source: str

    def at(self, name: str) -> float:
        """Radius of the friction circle of a pin, mm."""
        return next((p.radius for p in self.pin if p.name == name), self.radius)


class LockSpring(Entry):
    """Coil spring in tension between two places of the gear: pulls ``preload`` + ``rate`` x (length - ``free_length``)
    where it is longer than its free length, else nothing."""

    name: str
    start: Place = Field(alias="from")
    start_on: Moving | Literal["airframe"] = "airframe"
    end: Place = Field(alias="to")
    end_on: Moving | Literal["airframe"]
    free_length: PositiveLength
    rate: Stiffness
    preload: PositiveForce | None = None


class Damper(Entry):
    """Damping along the actuator or a gas spring: ``force`` at ``at_speed``, growing with the speed or its square."""

    on: str
    force: PositiveForce
    at_speed: PositiveSpeed
    law: Literal["linear", "quadratic"] = "linear"
    last: PositiveLength | None = None
    """Works only over the last so many mm of that unit's travel before the lock (snubber); without it, all the way."""
    source: str

    @property
    def coefficient(self) -> float:
        """N s/mm (linear) or N s2/mm2 (quadratic)."""
        speed = 1000.0 * self.at_speed
        return self.force / (speed if self.law == "linear" else speed * speed)


class Emergency(Entry):
    """Emergency extension: the gear falls from its up-lock, driven by weight and springs alone.

    ``actuator``: "freed" at one end (no force), or left in "bypass", where ``bypass_friction`` and dampers on it work.
    """

    actuator: Literal["freed", "bypass"] = "freed"
    bypass_friction: LeastForce = 0.0
    """N, against the travel of an actuator in bypass."""
    load_factor: PositiveFactor = 1.0
    thrust: LeastForce = 0.0
    """Of the propeller meanwhile: blows its slipstream over the gear as in [air]."""
    brace_mass: PositiveMass = 1.0
    """Mass of both brace links, as slender bars, where ``gear.mass`` has none on them: without any, nothing limits how
    fast the knee whips through dead centre. 1 kg is an assumption of this tool, no source."""
    damper: tuple[Damper, ...] = ()
    source: str = ""
