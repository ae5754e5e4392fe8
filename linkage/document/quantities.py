"""Field types of the study document: a bare number is in the unit the file declares, "14.2 in" carries its own.

After reading, every length is in mm, every mass in kg, every force in N, every speed in m/s, every angle in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Self

from annotated_types import Ge, Gt, Le
from pydantic import BaseModel, BeforeValidator, ConfigDict, model_validator
from pydantic_core import core_schema

from linkage.units import FACTORS, convert

LARGEST = {
    "length": 5e4,
    "mass": 1e5,
    "force": 1e7,
    "speed": 1e3,
    "angle": 3600.0,
    "area": 1e9,
    "section_area": 1e6,
    "inertia": 1e10,
    "pressure": 1e7,
    "stiffness": 1e7,
}
"""Inside units; beyond any light aircraft, so that a slip of the unit is a fault and not a long wait."""
HUGE = 10**30


class Entry(BaseModel):
    """Base of every table of the document: unknown keys are faults, nothing changes after reading.

    Readers of inner tables are built with the outermost table and not once more by themselves, which shortens a start a
    little.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, defer_build=True)

    @classmethod
    def given(cls, **values: Any) -> Self:
        """A default of the program itself, in inside units. It is not read, so no reader need be built for it before a
        study is; tests read every one."""
        return super().model_construct(**values)


def models_in(annotation: Any) -> Iterator[type[Entry]]:
    """Every table that a field may be, from its annotation."""
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        yield annotation
    for inner in getattr(annotation, "__args__", ()):
        yield from models_in(inner)


class Units(Entry):
    """Units of the bare numbers in this file."""

    length: Literal["mm", "cm", "m", "in", "ft"] = "mm"
    mass: Literal["kg", "g", "lb"] = "kg"
    force: Literal["N", "kN", "daN", "lbf"] = "N"
    speed: Literal["m/s", "km/h", "kt", "ft/s", "mph"] = "m/s"
    angle: Literal["deg", "rad"] = "deg"
    area: Literal["mm2", "cm2", "m2", "in2", "ft2"] = "m2"
    section_area: Literal["mm2", "cm2", "in2"] = "mm2"
    inertia: Literal["mm4", "cm4", "in4"] = "mm4"
    pressure: Literal["MPa", "kPa", "bar", "psi"] = "MPa"
    stiffness: Literal["N/mm", "lbf/in"] = "N/mm"

    def factor(self, kind: str) -> float:
        return FACTORS[kind][getattr(self, kind)]


def bounded(value: float, kind: str) -> float:
    """The value in the inside unit; raises ``ValueError`` beyond `LARGEST`."""
    if not abs(value) <= LARGEST[kind]:
        unit = next(name for name, factor in FACTORS[kind].items() if factor == 1.0)
        raise ValueError(f"is beyond any light aircraft; expected at most {LARGEST[kind]:g} {unit} either way")
    return float(value)


@dataclass(frozen=True)
class Kind:
    """What a number measures, by its name in `linkage.units`: reads it into the inside unit before anything else is
    checked, and tells the schema and those who walk the fields. As a ``BeforeValidator`` its signature would be looked
    at anew in each of hundreds of fields."""

    name: str

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        return core_schema.with_info_before_validator_function(self.value, handler(source))

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        takes = f"a number in the unit declared in [units], or a text with a unit ({', '.join(FACTORS[self.name])})"
        return {"anyOf": [{"type": "number"}, {"type": "string"}], "description": f"a {self.name}: {takes}"}

    def value(self, value: Any, info: Any) -> float:
        """In the inside unit."""
        kind = self.name
        if isinstance(value, str):
            return bounded(convert(value, kind), kind)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"expected a number or a text such as '14.2 {next(iter(FACTORS[kind]))}'")
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError("expected a finite number")
        value = max(min(value, HUGE), -HUGE)  # whole numbers of a file may be of any length
        units: Units | None = (info.context or {}).get("units")
        return bounded(value * (units or Units.given()).factor(kind), kind)


Length = Annotated[float, Kind("length")]
Mass = Annotated[float, Kind("mass"), Ge(0)]
SignedMass = Annotated[float, Kind("mass")]
Force = Annotated[float, Kind("force")]
Speed = Annotated[float, Kind("speed"), Ge(0)]
Angle = Annotated[float, Kind("angle")]
Area = Annotated[float, Kind("area"), Ge(0)]
Pressure = Annotated[float, Kind("pressure"), Ge(0)]
Stiffness = Annotated[float, Kind("stiffness"), Gt(0)]
PositiveLength = Annotated[float, Kind("length"), Gt(0)]
LeastForce = Annotated[float, Kind("force"), Ge(0)]
PositiveForce = Annotated[float, Kind("force"), Gt(0)]
PositiveSectionArea = Annotated[float, Kind("section_area"), Gt(0)]
PositiveInertia = Annotated[float, Kind("inertia"), Gt(0)]
PositivePressure = Annotated[float, Kind("pressure"), Gt(0)]
PositiveSpeed = Annotated[float, Kind("speed"), Gt(0)]
PositiveMass = Annotated[float, Kind("mass"), Gt(0)]
GapLength = Annotated[float, Kind("length"), Ge(0)]
Point = tuple[Length, Length]
"""[FS, WL]"""
Factor = Annotated[float, Ge(0), Le(50)]
PositiveFactor = Annotated[float, Gt(0), Le(50)]
"""Of a load or of an acceleration in g; beyond any aircraft, like `LARGEST`."""


def _interval(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] >= value[1]:
        raise ValueError("expected [low, high] with low below high")
    return value


ButtLines = Annotated[
    tuple[tuple[Length, Length], ...],
    BeforeValidator(lambda v: [v] if isinstance(v, list) and v and not isinstance(v[0], list) else v),
]
"""One or more [low, high] butt-line intervals; a single pair may be written without the outer brackets."""


class Place(Entry):
    """A point of the gear: [FS, WL] with the gear down and locked, {along, offset} on the leg, {radius, angle} on a
    link (from the link's own line at its airframe end, anticlockwise with the nose to the left), or a pin's name."""

    at: Point | None = None
    along: Length | None = None
    offset: Length = 0.0
    radius: PositiveLength | None = None
    angle: Angle = 0.0
    pin: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _short_forms(cls, value: Any) -> Any:
        if isinstance(value, list | tuple):
            return {"at": value}
        return {"pin": value} if isinstance(value, str) else value

    @model_validator(mode="after")
    def _one_form(self) -> Place:
        forms = [self.at is not None, self.along is not None, self.radius is not None, self.pin is not None]
        if sum(forms) != 1:
            raise ValueError("expected one of [FS, WL], {along, offset}, {radius, angle} or a pin's name")
        return self


class Limits(Entry):
    """Wanted range of a result, with its source. Either end may be left open."""

    source: str

    @model_validator(mode="after")
    def _ordered(self) -> Limits:
        low, high = getattr(self, "min", None), getattr(self, "max", None)
        if low is None and high is None:
            raise ValueError("expected at least one of min and max")
        if low is not None and high is not None and low > high:
            raise ValueError(f"min {low:g} is above max {high:g}; expected min at most {high:g}")
        return self

    def ends(self, low: float = -math.inf, high: float = math.inf) -> tuple[float, float]:
        """Least and greatest wanted value in inside units (angles in deg), or ``low`` and ``high`` for an open end."""
        least, most = getattr(self, "min", None), getattr(self, "max", None)
        return (low if least is None else least, high if most is None else most)


class Fractions(Limits):
    min: float | None = None
    max: float | None = None


class Angles(Limits):
    min: Angle | None = None
    max: Angle | None = None


class Velocities(Limits):
    min: Speed | None = None
    max: Speed | None = None


class Lengths(Limits):
    min: Length | None = None
    max: Length | None = None
