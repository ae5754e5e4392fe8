"""What a search for positions is asked for: where the wheel should be, and where each pin may be."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from linkage.document.lock import Fold
from linkage.document.quantities import Angle, Entry, GapLength, Length, Point, PositiveForce, PositiveLength
from linkage.plane.outlines import polygon_of

LEAST_TOLERANCE = 0.01
"""mm; a study is written in digits, and a place is met no closer than they allow."""


def _pair(value: Any) -> Any:
    """One number is a range of no width."""
    return value if isinstance(value, list | tuple) else (value, value)


def _ordered(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] > value[1]:
        raise ValueError("is empty; expected [low, high] with low not above high")
    return value


LengthRange = Annotated[tuple[Length, Length], BeforeValidator(_pair), AfterValidator(_ordered)]
AngleRange = Annotated[tuple[Angle, Angle], BeforeValidator(_pair), AfterValidator(_ordered)]
Weight = Annotated[float, Field(ge=0, le=1e6)]


class WantedPlace(Entry):
    """Where the axle should be, [FS, WL], strut extended, and how far off it may be."""

    at: Point
    tolerance: Length = 1.0
    """1 mm is an assumption of this tool, no source."""

    @model_validator(mode="after")
    def _reachable(self) -> WantedPlace:
        if self.tolerance < LEAST_TOLERANCE:
            raise ValueError(
                f"tolerance {self.tolerance:g} mm is met by no gear that is written in digits;"
                f" expected at least {LEAST_TOLERANCE:g} mm"
            )
        return self


class Wheel(Entry):
    """Wanted places of the axle gear down and gear up, and one that it should pass on the way, so as to miss something.
    With ``third`` the trunnion is the centre of the circle through all three."""

    down: WantedPlace
    up: WantedPlace
    third: WantedPlace | None = None

    @model_validator(mode="after")
    def _apart(self) -> Wheel:
        places = {"down": self.down, "up": self.up, **({"third": self.third} if self.third else {})}
        names = list(places)
        for i, one in enumerate(names):
            for other in names[i + 1 :]:
                a, b = places[one], places[other]
                apart = abs(complex(*a.at) - complex(*b.at))
                if apart <= a.tolerance + b.tolerance:
                    raise ValueError(
                        f"{other} lies {apart:.2f} mm from {one}, within their tolerances; expected another place"
                    )
        return self


class Region(Entry):
    """Where a pin of the airframe, or the knee gear down, may be: a box (fs, wl) or an outline, FS and WL."""

    fs: LengthRange | None = None
    wl: LengthRange | None = None
    outline: Annotated[tuple[Point, ...], Field(min_length=3)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _fixed(cls, value: Any) -> Any:
        """[FS, WL] is a region of one point."""
        return {"fs": value[0], "wl": value[1]} if isinstance(value, list) and len(value) == 2 else value

    @model_validator(mode="after")
    def _one_shape(self) -> Region:
        box = self.fs is not None and self.wl is not None
        if box == (self.outline is not None) or (self.fs is None) != (self.wl is None):
            raise ValueError("expected either fs and wl, or outline")
        reason = polygon_of([complex(*p) for p in self.outline]) if self.outline is not None else None
        if isinstance(reason, str):
            raise ValueError(f"outline: {reason}; expected an outline with an area that does not cross itself")
        return self

    @property
    def corners(self) -> tuple[complex, ...]:
        """The outline anticlockwise or clockwise, FS + 1j*WL; of a box its four corners."""
        if self.outline is not None:
            return tuple(complex(*p) for p in self.outline)
        (a, b), (c, d) = self.fs or (0.0, 0.0), self.wl or (0.0, 0.0)
        return complex(a, c), complex(b, c), complex(b, d), complex(a, d)


class OnBody(Entry):
    """Where a pin of the gear may be: on the leg {along, offset}, on a link {radius, angle}. Ranges or numbers."""

    along: LengthRange | None = None
    offset: LengthRange = (0.0, 0.0)
    radius: LengthRange | None = None
    angle: AngleRange = (0.0, 0.0)

    @model_validator(mode="after")
    def _one_form(self) -> OnBody:
        if (self.along is None) == (self.radius is None):
            raise ValueError("expected either {along, offset} on the leg or {radius, angle} on a link")
        if self.radius is not None and self.radius[0] <= 0:
            raise ValueError(f"radius from {self.radius[0]:g} mm; expected above 0 mm")
        return self


class Unit(Entry):
    """An actuator that can be bought. Its shortest length is dead_length + stroke, its longest a stroke more."""

    name: str
    dead_length: GapLength
    stroke: PositiveLength
    max_force: PositiveForce


class WantedActuator(Entry):
    """``root`` and ``pin``, left out: as in the study. ``catalogue`` left out: the study's dead_length and max_force,
    with any stroke."""

    root: Region | None = None
    pin: OnBody | None = None
    catalogue: tuple[Unit, ...] = ()

    @model_validator(mode="after")
    def _named(self) -> WantedActuator:
        names = [u.name for u in self.catalogue]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"catalogue uses the name {name!r} {names.count(name)} times; expected one for each")
        return self


class Weights(Entry):
    """How much each result counts in the ranking. All 1 is an assumption of this tool, no source."""

    margin: Weight = 1.0
    """Least gap beyond what is required."""
    force: Weight = 1.0
    """Greatest force of the actuator."""
    moment: Weight = 1.0
    """Mass moment: how far the gear's masses move, FS."""
    lock: Weight = 1.0
    """What the actuator may lack before the lock is lost, beyond the least that the limits ask for."""


class Wanted(Entry):
    """Wishes of ``noseleg find``. A pin or length left out stays as the study has it; what the wanted places make (leg
    length, swing, lower link) follows."""

    wheel: Wheel
    trunnion: Region | None = None
    upper_pin: Region | None = None
    knee: Region | None = None
    """Where the knee may be, gear down; left out: anywhere."""
    lug: OnBody | None = None
    upper_link: LengthRange | None = None
    lower_link: LengthRange | None = None
    """Left out: any length."""
    over_centre: LengthRange | None = None
    leg_length: LengthRange | None = None
    """Left out: any length."""
    axle_offset: LengthRange | None = None
    swing_up: AngleRange | None = None
    """Left out: any swing below half a turn."""
    folds: tuple[Literal["aft", "forward"], ...] = ()
    """Ways in which the leg may fold; left out: as the study has it."""
    knee_folds: tuple[Fold, ...] = ()
    """Left out: as the study has it."""
    transmission_angle: Annotated[Angle, Field(ge=0, lt=90)] = 0.0
    """Least transmission angle, where it is to be more than limits.transmission_angle."""
    actuator: WantedActuator = WantedActuator.given()
    weights: Weights = Weights.given()
    poses: Annotated[int, Field(ge=33, le=2001)] = 33
    """Poses at least at which forces and gaps are looked at."""

    @model_validator(mode="after")
    def _ranges(self) -> Wanted:
        for name in ("upper_link", "lower_link", "over_centre", "leg_length"):
            pair = getattr(self, name)
            if pair is not None and pair[0] <= 0:
                raise ValueError(f"{name} from {pair[0]:g} mm; expected above 0 mm")
        if self.swing_up is not None and not 0 < self.swing_up[0] <= self.swing_up[1] < 180:
            raise ValueError(f"swing_up {list(self.swing_up)} deg; expected above 0 and below 180 deg")
        if self.lug is not None and self.lug.along is None:
            raise ValueError("lug on a link; expected {along, offset} on the leg")
        return self
