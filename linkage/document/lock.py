"""What locks the gear down and up, and its doors: lock entries of the study."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from linkage.document.quantities import (
    Angle,
    ButtLines,
    Entry,
    GapLength,
    Length,
    Mass,
    Place,
    Point,
    PositiveFactor,
    PositiveForce,
    PositiveLength,
)

Moving = Literal[
    "leg",
    "upper link",
    "lower link",
    "upper lock link",
    "lower lock link",
    "brace barrel",
    "brace rod",
    "brace link",
    "track slider",
]
"""Bodies on which something may be fixed; a gear has those of its own topology."""

Fold = Literal["up", "down", "forward", "aft"]

Holder = Literal["lock link", "hook", "spring", "self-locking actuator", "hydraulic lock", "brace lock"]


class Hook(Entry):
    """A catch that holds one place of the gear. ``line``: direction in which it pulls; left out, it pulls along the
    path of that place, which is the least force it can need."""

    at: Place
    on: Moving = "upper link"
    max_force: PositiveForce
    line: Angle | None = None


class LockEntry(Entry):
    """What holds the lock against loads that pull it open, and what opens it. Judged at ULTIMATE load."""

    holds: Annotated[
        tuple[Holder, ...], BeforeValidator(lambda v: (v,) if isinstance(v, str) else v), Field(min_length=1)
    ]
    release: str = ""
    """What breaks the knee where the actuator cannot."""
    hook: Hook | None = None
    actuator_force: PositiveForce | None = None
    """Most static force of the self-locking actuator; left out, `gear.actuator.max_force`."""
    hydraulic_force: PositiveForce | None = None
    """Most force that the locked-in oil can hold at the actuator."""
    brace_force: PositiveForce | None = None
    """Most force of the lock inside a brace without a knee: along the brace, or along the track of its root."""
    length_error: GapLength = 0.3
    """By which the two links together are too long or too short, for the offset that a leg stop leaves."""
    length_error_source: str = "two links of 0.15 mm each, assumption, no source"

    @model_validator(mode="after")
    def _capacities(self) -> LockEntry:
        for holder, key in (("hook", "hook"), ("hydraulic lock", "hydraulic_force"), ("brace lock", "brace_force")):
            if holder in self.holds and getattr(self, key) is None:
                raise ValueError(f"holds {holder!r} without its capacity; expected {key} as well")
        return self


class LockLink(Entry):
    """A second small folding pair from ``root`` on the airframe to ``pin`` on the upper link or the knee, drawn locked.

    Its own knee as drawn (``knee``), or the upper lock link's length and its over-centre offset; the rest is derived.
    """

    root: Point
    pin: Place = Place.given(pin="knee")
    knee: Point | None = None
    upper_link: PositiveLength | None = None
    over_centre: Length | None = None
    knee_folds: Fold = "up"
    stop: bool = True
    """A stop between the two lock links makes their offset."""
    max_force: PositiveForce | None = None
    """Most axial force of a lock link, either way."""

    @model_validator(mode="after")
    def _one_way(self) -> LockLink:
        sizes = (self.upper_link, self.over_centre)
        given = sum(s is not None for s in sizes)
        if (self.knee is not None) == (given == 2) or given == 1:
            raise ValueError("expected either knee, or both of upper_link and over_centre")
        if self.pin.along is not None:
            raise ValueError("pin lies on the leg; expected the knee or a place on the upper link")
        if self.over_centre is not None and self.upper_link is not None:
            if self.over_centre <= 0:
                raise ValueError(f"over_centre {self.over_centre:g} mm is on or before centre; expected above 0 mm")
            if self.over_centre >= self.upper_link:
                raise ValueError(f"over_centre {self.over_centre:g} mm; expected below upper_link")
        return self


class UpStop(Entry):
    """What ends the stroke with the gear up and holds it there.

    ``at``: place on the leg of the leg stop or hook; ``overtravel``: how far the actuator can still move beyond leg-up.
    """

    kind: Literal["actuator", "leg stop", "hook"]
    at: Place | None = None
    overtravel: GapLength = 0.0
    engage: GapLength = 0.0
    """How far the hooked place must move beyond leg-up for the hook to close behind it."""
    max_force: PositiveForce | None = None
    """Most force of the stop or hook; for the actuator, most static force."""
    load_factor: PositiveFactor = 3.8
    load_factor_source: str = "14 CFR 23.729(a)(1) with 23.337, normal category, 2015 edition"

    @model_validator(mode="after")
    def _place(self) -> UpStop:
        if (self.at is None) != (self.kind == "actuator"):
            raise ValueError(f"kind {self.kind!r}; expected at for 'leg stop' and 'hook', and only then")
        return self


class Door(Entry):
    """A door in the side view on a hinge of the airframe, driven by a rod from the gear. Drawn with the gear DOWN."""

    name: str
    hinge: Point
    tip: Point
    """Free edge."""
    thickness: PositiveLength
    butt_lines: ButtLines
    rod_on_door: Point
    rod_on_gear: Place
    on: Moving = "leg"
    mass: Mass = 0.0
    """Taken at the middle between hinge and tip."""
    may_turn_back: bool = False
    """The door may reverse on the way: opening wide while the tyre passes and closing again."""

    @model_validator(mode="after")
    def _not_a_point(self) -> Door:
        for key in ("tip", "rod_on_door"):
            if getattr(self, key) == self.hinge:
                raise ValueError(f"{key} lies on the hinge; expected a place away from it")
        return self
