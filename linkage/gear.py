"""Study -> Gear: trunnion, leg, drag brace, actuator and springs as one mechanism, drawn down and locked.

The branch is chosen here once: the leg hangs down, the knee lies past the line upper pin - lug on the side away from
its fold.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from linkage.document.drive import LockSpring
from linkage.document.gear import Actuator, Brace, GearEntry, Part, Spring
from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault, MechanismError
from linkage.mechanism.model import GROUND, Joint, Mechanism, Pin, Slide
from linkage.mechanism.plan import Plan, plan
from linkage.plane.vectors import dot

UPPER, LOWER, LEG = "upper link", "lower link", "leg"
FOLDS = {"up": 1j, "down": -1j, "forward": -1.0 + 0j, "aft": 1.0 + 0j}


@dataclass(frozen=True)
class BodyPoint:
    """A point fixed on a body, by its place FS + 1j*WL in mm with the gear down and locked, strut extended."""

    body: str
    at: complex


@dataclass(frozen=True)
class BraceShape:
    """Drag brace in the lock: mm, rad. ``over_centre_angle``: how far past straight the knee is."""

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

    ``leg_sense`` and ``drive_sense``: +1 where the leg or the upper link turns anticlockwise on the way up, else -1.
    ``pins``: every named pin, also those on the ground. ``effort_at``: joint at which the actuator works.
    """

    mechanism: Mechanism
    plan: Plan
    down: complex
    aft: complex
    leg_sense: float
    drive_sense: float
    brace: BraceShape
    pins: Mapping[str, BodyPoint]
    parts: tuple[GearPart, ...]
    masses: tuple[PointMass, ...]
    swing_up: float
    effort_at: str
    springs: tuple[str, ...]
    ties: tuple[Tie, ...] = ()

    @property
    def pivots(self) -> dict[str, complex]:
        """Bodies that turn on a pin of the airframe, and where that pin is."""
        return {j.b: complex(j.at) for j in self.mechanism.joints if isinstance(j, Pin) and j.a == GROUND}

    def on_leg(self, along: float, offset: float = 0.0) -> complex:
        """Place of a point in leg axes, gear down and locked."""
        return self.pins["trunnion"].at + along * self.down + offset * self.aft


def build(study: Study) -> Gear:
    """Assemble the gear of a study. Raises ``MechanismError`` if the links cannot close in the lock, ``DocumentError``
    if the knee as drawn lies on or before centre or a place names no pin."""
    entry = study.gear
    trunnion = complex(*entry.trunnion)
    down, brace = lock_position(entry)
    aft = 1j * down
    pins = {
        "trunnion": BodyPoint(LEG, trunnion),
        "upper pin": BodyPoint(UPPER, complex(*entry.brace.upper_pin)),
        "knee": BodyPoint(LOWER, brace.knee),
        "lug": BodyPoint(LEG, brace.lug),
        "axle": BodyPoint(LEG, trunnion + entry.leg.length * down + entry.leg.axle_offset * aft),
    }
    frame = _Frame(pins, down, aft)
    joints = [*_brace_joints(pins), *_actuator_joints(entry.actuator, frame)]
    for spring in entry.spring:
        joints += _spring_joints(spring, frame)
    mechanism = Mechanism(tuple(joints), driver="upper pin")
    frame.joints.update({j.name: {j.a, j.b} for j in joints})
    arm = brace.knee - pins["upper pin"].at
    return Gear(
        mechanism=mechanism,
        plan=plan(mechanism),
        down=down,
        aft=aft,
        leg_sense=1.0 if entry.folds == "aft" else -1.0,
        drive_sense=math.copysign(1.0, dot(1j * arm, brace.fold)),
        brace=brace,
        pins=pins,
        parts=tuple(_part(p, frame, i) for i, p in enumerate(entry.part)),
        masses=tuple(
            PointMass(m.name, m.mass, frame.place(m.at, m.on, f"gear.mass[{i}].at"), m.gyration)
            for i, m in enumerate(entry.mass)
        ),
        swing_up=math.radians(entry.leg.swing_up),
        effort_at="actuator",
        springs=tuple(s.name for s in entry.spring),
        ties=tuple(_tie(s, frame, f"gear.lock_spring[{i}]") for i, s in enumerate(entry.lock_spring)),
    )


def lock_position(entry: GearEntry) -> tuple[complex, BraceShape]:
    """Direction down the leg and the shape of the brace, gear down and locked."""
    if entry.leg.tilt is not None:
        tilt = math.radians(entry.leg.tilt)
        down = complex(-math.sin(tilt), -math.cos(tilt))
        return down, _drawn_brace(entry, down)
    return _sized_brace(entry)


def _lug_arm(brace: Brace) -> complex:
    """Lug in leg axes: along + 1j*offset, so that times ``down`` it is the arm from the trunnion."""
    return complex(brace.lug.along or 0.0, brace.lug.offset)


def _sized_brace(entry: GearEntry) -> tuple[complex, BraceShape]:
    brace, trunnion, upper = entry.brace, complex(*entry.trunnion), complex(*entry.brace.upper_pin)
    if brace.upper_link is None or brace.lower_link is None or brace.over_centre is None:
        raise ValueError("the document allows link lengths only all together")
    h = brace.over_centre
    first, second = math.sqrt(brace.upper_link**2 - h * h), math.sqrt(brace.lower_link**2 - h * h)
    span, arm = first + second, _lug_arm(brace)
    base = upper - trunnion
    cosine = (abs(base) ** 2 + abs(arm) ** 2 - span**2) / (2 * abs(base) * abs(arm))
    if abs(cosine) > 1:
        raise MechanismError(_open_triangle(entry, abs(base), abs(arm), span))
    turn = complex(cosine, math.sqrt(1 - cosine * cosine))
    candidates = [base / abs(base) * t * arm.conjugate() / abs(arm) for t in (turn, turn.conjugate())]
    down = min(candidates, key=lambda d: d.imag)  # the leg hangs down
    lug = trunnion + down * arm
    line = (lug - upper) / span
    fold = _fold(entry, line)
    knee = upper + first * line - h * fold
    angle = math.asin(h / brace.upper_link) + math.asin(h / brace.lower_link)
    return down, BraceShape(brace.upper_link, brace.lower_link, h, angle, span, knee, lug, fold)


def _open_triangle(entry: GearEntry, base: float, arm: float, span: float) -> str:
    low, high = abs(base - arm), base + arm
    nearest, limit = ("longest", high) if span > high else ("shortest", low)
    return (
        f"gear.brace: the links cannot close with the gear down: trunnion to upper pin {base:.2f} mm, trunnion to lug"
        f" {arm:.2f} mm, locked brace (upper_link {entry.brace.upper_link:g} + lower_link {entry.brace.lower_link:g},"
        f" over centre {entry.brace.over_centre:g}) {span:.2f} mm; the {nearest} brace that closes is {limit:.2f} mm,"
        f" {abs(span - limit):.2f} mm away"
    )


def _drawn_brace(entry: GearEntry, down: complex) -> BraceShape:
    if entry.brace.knee is None:
        raise ValueError("the document allows a leg tilt only with a drawn knee")
    upper, knee = complex(*entry.brace.upper_pin), complex(*entry.brace.knee)
    lug = complex(*entry.trunnion) + down * _lug_arm(entry.brace)
    span = abs(lug - upper)
    line = (lug - upper) / span
    fold = _fold(entry, line)
    h = -dot(knee - upper, fold)
    if h <= 0:
        at = knee - (1.5 - h) * fold
        raise DocumentError(
            [
                Fault(
                    "gear.brace.knee",
                    f"[{knee.real:g}, {knee.imag:g}] is on or before centre, {-h:.2f} mm short of the line to the lug",
                    f"past it, such as [{at.real:.1f}, {at.imag:.1f}] (1.5 mm over centre)",
                )
            ]
        )
    bend = math.atan2(h, dot(knee - upper, line)) + math.atan2(h, dot(lug - knee, line))
    return BraceShape(abs(knee - upper), abs(lug - knee), h, bend, span, knee, lug, fold)


def _fold(entry: GearEntry, line: complex) -> complex:
    """Unit vector square to the brace line on the side to which the knee folds."""
    wanted = FOLDS[entry.brace.knee_folds]
    lean = dot(1j * line, wanted)
    if abs(lean) < 0.1:
        other = "'forward' or 'aft'" if entry.brace.knee_folds in ("up", "down") else "'up' or 'down'"
        raise DocumentError(
            [Fault("gear.brace.knee_folds", f"{entry.brace.knee_folds!r} runs along the brace itself", other)]
        )
    return 1j * line * math.copysign(1.0, lean)


@dataclass(frozen=True)
class _Frame:
    """The pins placed so far, and how a place in the document becomes a point on a body."""

    pins: dict[str, BodyPoint]
    down: complex
    aft: complex
    joints: dict[str, set[str]] = field(default_factory=dict)
    """Bodies that meet at each joint, once all are known."""

    def bodies(self, place: Place, point: BodyPoint) -> set[str]:
        """Every body on which the point is fixed: a pin lies on both of its bodies."""
        return self.joints.get(place.pin or "", set()) | {point.body}

    def place(self, place: Place, on: str, field: str) -> BodyPoint:
        if place.pin is not None:
            if place.pin not in self.pins:
                known = ", ".join(self.pins)
                raise DocumentError([Fault(field, f"no pin is called {place.pin!r}", f"one of {known}")])
            return self.pins[place.pin]
        if place.at is not None:
            return BodyPoint(on, complex(*place.at))
        if place.along is not None:
            return BodyPoint(LEG, self.pins["trunnion"].at + place.along * self.down + place.offset * self.aft)
        start, end = self._line(on, field)
        turn = complex(math.cos(math.radians(place.angle)), math.sin(math.radians(place.angle)))
        return BodyPoint(on, start + (place.radius or 0.0) * (end - start) / abs(end - start) * turn)

    def _line(self, on: str, field: str) -> tuple[complex, complex]:
        ends = {UPPER: ("upper pin", "knee"), LOWER: ("knee", "lug"), LEG: ("trunnion", "lug")}
        if on not in ends:
            raise DocumentError(
                [Fault(field, f"{{radius, angle}} has no line to measure from on the {on}", "[FS, WL]")]
            )
        start, end = ends[on]
        return self.pins[start].at, self.pins[end].at


def _brace_joints(pins: Mapping[str, BodyPoint]) -> list[Joint]:
    return [
        Pin("upper pin", GROUND, UPPER, pins["upper pin"].at),
        Pin("knee", UPPER, LOWER, pins["knee"].at),
        Pin("lug", LOWER, LEG, pins["lug"].at),
        Pin("trunnion", GROUND, LEG, pins["trunnion"].at),
    ]


def _strut_joints(name: str, root: complex, end: BodyPoint, frame: _Frame) -> list[Joint]:
    """A telescoping pair between the airframe and a pin of the gear; the slide carries the plain name."""
    barrel, rod = f"{name} barrel", f"{name} rod"
    frame.pins[f"{name} root"] = BodyPoint(barrel, root)
    frame.pins[f"{name} pin"] = BodyPoint(rod, end.at)
    return [
        Pin(f"{name} root", GROUND, barrel, root),
        Slide(name, barrel, rod, end.at, end.at - root),
        Pin(f"{name} pin", rod, end.body, end.at),
    ]


def _actuator_joints(entry: Actuator, frame: _Frame) -> list[Joint]:
    joints: list[Joint] = []
    on: str = entry.pushes
    if entry.crank is not None:
        pivot, rod_pin = complex(*entry.crank.pivot), complex(*entry.crank.rod_pin)
        end = frame.place(entry.crank.end, entry.crank.drives, "gear.actuator.crank.end")
        frame.pins["crank pivot"] = BodyPoint("bell-crank", pivot)
        frame.pins["crank rod pin"] = BodyPoint("crank rod", rod_pin)
        frame.pins["crank rod end"] = BodyPoint("crank rod", end.at)
        joints = [
            Pin("crank pivot", GROUND, "bell-crank", pivot),
            Pin("crank rod pin", "bell-crank", "crank rod", rod_pin),
            Pin("crank rod end", "crank rod", end.body, end.at),
        ]
    pushed = frame.place(entry.pin, on, "gear.actuator.pin")
    return joints + _strut_joints("actuator", complex(*entry.root), pushed, frame)


def _spring_joints(entry: Spring, frame: _Frame) -> list[Joint]:
    end = frame.place(entry.pin, entry.on, f"gear.spring {entry.name!r} pin")
    return _strut_joints(entry.name, complex(*entry.root), end, frame)


def _tie(entry: LockSpring, frame: _Frame, path: str) -> Tie:
    on = [GROUND if body == "airframe" else body for body in (entry.start_on, entry.end_on)]
    start, end = frame.place(entry.start, on[0], f"{path}.from"), frame.place(entry.end, on[1], f"{path}.to")
    return Tie(entry.name, start, end)


def _part(entry: Part, frame: _Frame, i: int) -> GearPart:
    path = f"gear.part[{i}]"
    if entry.centre is not None:
        core, radius = [(entry.centre, "centre")], entry.radius or 0.0
    elif entry.start is not None and entry.end is not None:
        core, radius = [(entry.start, "from"), (entry.end, "to")], (entry.width or 0.0) / 2
    else:
        core, radius = [(p, "outline") for p in entry.outline or ()], 0.0
    points = tuple(frame.place(p, entry.on, f"{path}.{key}") for p, key in core)
    bodies = [frame.bodies(p, at) for (p, _), at in zip(core, points, strict=True)]
    points = tuple(BodyPoint(_carrier(bodies, one), p.at) for p, one in zip(points, bodies, strict=True))
    return GearPart(
        entry.name, points, entry.outline is not None, radius, entry.butt_lines, entry.on_piston, entry.tyre
    )


def _carrier(bodies: Sequence[set[str]], own: set[str]) -> str:
    """One body for all points of a part if there is one; else the body of the point that moves most simply."""
    shared = set.intersection(*bodies) or own
    order = [GROUND, UPPER, LEG, LOWER]
    return min(shared, key=lambda b: (order.index(b) if b in order else len(order), b))
