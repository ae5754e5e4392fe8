"""What a gear is once it is built: bodies' names, shape of brace and lock link, parts, masses, and the mechanism.

Of a family (`linkage.document.variants`) points and lengths are arrays of shape (designs,) instead of numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from linkage.mechanism.model import GROUND, Mechanism, Pin
from linkage.mechanism.plan import Plan
from linkage.plane.vectors import plain

UPPER, LOWER, LEG = "upper link", "lower link", "leg"
LOCK_UPPER, LOCK_LOWER = "upper lock link", "lower lock link"
BARREL, ROD = "brace barrel", "brace rod"
BRACE, SLIDER = "brace link", "track slider"
CRANK, CRANK_ROD = "bell-crank", "crank rod"


@dataclass(frozen=True)
class BodyPoint:
    """A point fixed on a body, by its place FS + 1j*WL in mm with the gear down and locked, strut extended."""

    body: str
    at: complex


@dataclass(frozen=True)
class BraceShape:
    """Drag brace, or the pair of lock links, in the lock: lengths in mm, angles in rad.

    ``over_centre_angle`` is how far past straight the knee is. A brace without a knee (``kind`` telescoping or sliding
    root) is carried as two equal halves in line, with no offset.
    """

    upper_link: float
    lower_link: float
    over_centre: float
    over_centre_angle: float
    span: float
    """Upper pin to lug."""
    knee: complex
    lug: complex
    fold: complex
    """Unit vector, square to the line upper pin - lug, towards which the knee folds."""
    kind: str = "folding"

    @property
    def has_knee(self) -> bool:
        return self.kind == "folding"


@dataclass(frozen=True)
class Locking:
    """The over-centre pair that locks the gear, and the names of its three pins."""

    shape: BraceShape
    near: str
    knee: str
    far: str


@dataclass(frozen=True)
class GearPart:
    """Core of one, two or more points (``closed``: filled outline) grown by ``radius``; butt lines in mm."""

    name: str
    core: tuple[BodyPoint, ...]
    closed: bool
    radius: float
    butt_lines: tuple[tuple[float, float], ...]
    on_piston: bool
    tyre: bool
    steers: bool = False
    sections: tuple[tuple[tuple[float, float], float], ...] = ()
    """Of a disc that is narrower at its edges: butt lines and radius of slices within one another, the widest first."""

    @property
    def nested(self) -> tuple[GearPart, ...]:
        """The part itself, or its slices as parts of the same name."""
        cut = (replace(self, butt_lines=(lines,), radius=radius, sections=()) for lines, radius in self.sections)
        return tuple(cut) or (self,)


@dataclass(frozen=True)
class PointMass:
    """``gyration``: radius of gyration about its own centre, mm."""

    name: str
    kg: float
    at: BodyPoint
    gyration: float = 0.0


@dataclass(frozen=True)
class Tie:
    """A coil spring in tension between two points; its numbers are in the study."""

    name: str
    start: BodyPoint
    end: BodyPoint


@dataclass(frozen=True)
class Gear:
    """Everything that moves, in one frame (FS + 1j*WL, mm). ``down``: unit vector down the leg, ``aft`` square to it.

    ``driven``: the body whose rotation is the coordinate of the whole stroke: the upper link, or the upper lock link
    where there are lock links, or the leg itself where the brace has no knee (docs/theory-lock.md says why).
    ``leg_sense`` and ``drive_sense``: +1 where the leg or the driven body turns anticlockwise on the way up, else -1.
    ``thrust_line``: the two pins, the second on the leg, along which the brace acts on it.
    ``pins``: every named pin, also those on the ground. ``effort_at``: joint at which the actuator works; ``pushed``:
    the body on which it works, "" where it is built into the brace. ``doors``: names of the doors.
    """

    mechanism: Mechanism
    plan: Plan
    down: complex
    aft: complex
    leg_sense: float
    drive_sense: float
    driven: str
    brace: BraceShape
    lock_link: BraceShape | None
    thrust_line: tuple[str, str]
    pins: Mapping[str, BodyPoint]
    parts: tuple[GearPart, ...]
    masses: tuple[PointMass, ...]
    swing_up: float
    effort_at: str
    pushed: str
    springs: tuple[str, ...]
    doors: tuple[str, ...]
    ties: tuple[Tie, ...] = ()

    @property
    def tilt(self) -> float:
        """Of the steer axis against the aircraft, rad, top aft positive (docs/conventions.md)."""
        angle: float = plain(np.arctan2(-self.down.real, -self.down.imag))
        return angle

    @property
    def pivots(self) -> dict[str, complex]:
        """Bodies that turn on a pin of the airframe, and where that pin is."""
        return {j.b: complex(j.at) for j in self.mechanism.joints if isinstance(j, Pin) and j.a == GROUND}

    @property
    def locking(self) -> Locking | None:
        """The lock links if there are any, else the brace if it has a knee."""
        if self.lock_link is not None:
            return Locking(self.lock_link, "lock root", "lock knee", "lock pin")
        return Locking(self.brace, "upper pin", "knee", "lug") if self.brace.has_knee else None

    @property
    def dead_centres(self) -> int:
        """How often the leg turns back before it moves up: once for each over-centre pair."""
        own = self.brace.has_knee and bool(np.any(self.brace.over_centre > 0))
        return int(own) + int(self.lock_link is not None)

    def on_leg(self, along: float, offset: float = 0.0) -> complex:
        """Place of a point in leg axes, gear down and locked."""
        return self.pins["trunnion"].at + along * self.down + offset * self.aft
