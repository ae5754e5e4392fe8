"""Pieces as made, put together: the lock that their stop makes, and the family of gears that it gives.

Every gear of the family is exact: links of their made lengths, holes where they are, each pin resting somewhere in its
hole. Play stays where it is in its piece over the stroke.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.document.variants import varied
from linkage.gear import BraceShape, Gear, build
from linkage.mechanism.model import Complexes, Floats
from linkage.plane.vectors import cross
from linkage.tolerance import pieces
from linkage.tolerance.model import Deviations, Dimension
from linkage.tolerance.pair import Pair, bend_of, by_ends, by_stop, knee_holes, past


@dataclass(frozen=True)
class Blueprint:
    """The drawing: ``study`` told by its pieces (see `linkage.tolerance.twin`), its gear, what varies."""

    study: Study
    gear: Gear
    dimensions: tuple[Dimension, ...]
    pins: tuple[str, ...]
    stops: tuple[str, ...]

    @cached_property
    def columns(self) -> dict[str, int]:
        """Place of each dimension among the sizes of its deviations."""
        return {d.name: i for i, d in enumerate(self.dimensions)}

    def index(self, name: str) -> int:
        return self.columns[name]

    def none(self, count: int = 1) -> Deviations:
        """No deviation at all."""
        return self.tight(np.zeros((count, len(self.dimensions))))

    def tight(self, sizes: Floats) -> Deviations:
        """Gears of these sizes (n, dimensions), pins without play."""
        return Deviations(sizes, np.zeros((len(sizes), len(self.pins)), complex))


@dataclass(frozen=True)
class Made:
    """Gears as made. ``offset``: mm left of the over-centre offset, between the pins (see docs/theory-tolerance.md),
    None without a knee; negative before centre, or minus what the links lack to reach their stop. ``study``: the family
    it is."""

    gear: Gear
    study: Study
    offset: Floats | None


@dataclass(frozen=True)
class _Sizes:
    """Look-up of deviations by name; 0 where something does not vary."""

    plan: Blueprint
    by: Deviations

    def size(self, name: str) -> Any:
        column = self.plan.columns.get(name)
        return np.zeros(self.by.count) if column is None else self.by.sizes[:, column]

    def play(self, pin: str) -> Complexes:
        if pin not in self.plan.pins:
            return np.zeros(self.by.count, complex)
        return self.by.play[:, self.plan.pins.index(pin)]

    def ground(self, pin: str) -> Any:
        """How far the hole that hangs on a pin of the airframe is from its place."""
        return self.size(f"{pin} FS") + 1j * self.size(f"{pin} WL") + self.play(pin)

    def hole(self, pin: str) -> Any:
        return self.size(f"{pin} along") + 1j * self.size(f"{pin} across")


@np.errstate(invalid="ignore")
def assemble(plan: Blueprint, by: Deviations) -> Made:
    """Put the pieces of every gear together. A gear that cannot be is NaN throughout."""
    s = _Sizes(plan, by)
    numbers, brace, lock = _numbers(plan, s)
    family = varied(plan.study, numbers)
    gear = build(family)
    return Made(gear, family, None if brace is None else _left(plan, s, gear, brace, lock))


@np.errstate(invalid="ignore")
def alone(plan: Blueprint, by: Deviations, swing: float) -> Study:
    """The one gear of ``by`` as a study of its own, to be solved like any; its leg swings so many deg to leg-up."""
    numbers, _, _ = _numbers(plan, _Sizes(plan, by))
    plain = {field: float(np.ravel(value)[0]) for field, value in numbers.items()}
    return varied(plan.study, plain | {"gear.leg.swing_up": swing})


def _numbers(plan: Blueprint, s: _Sizes) -> tuple[dict[str, Any], Pair | None, Pair | None]:
    """Numbers of the study by path, and brace and lock links as their stops make them, where there are any."""
    study = plan.study
    numbers: dict[str, Any] = {}
    for field, name in (("gear.trunnion", "trunnion"), ("gear.brace.upper_pin", "upper pin")):
        numbers |= _point(field, plan.gear.pins[name].at + s.ground(name))
    numbers |= _place("gear.brace.lug", study.gear.brace.lug, s.hole("lug") + s.play("lug"))
    numbers |= _strut("gear.actuator", study.gear.actuator, "actuator", s)
    for i, spring in enumerate(study.gear.spring):
        numbers |= _strut(f"gear.spring[{i}]", spring, spring.name, s)
    numbers["gear.leg.length"] = study.gear.leg.length + s.size("axle along")
    numbers["gear.leg.axle_offset"] = study.gear.leg.axle_offset + s.size("axle across")
    if not plan.gear.brace.has_knee:
        return numbers | {"gear.brace.length": plan.gear.brace.span + s.size(pieces.BRACE)}, None, None
    brace, lock = _locked(plan, s)
    numbers |= {"gear.brace.upper_link": brace.first, "gear.brace.lower_link": brace.second}
    numbers["gear.brace.over_centre"] = brace.offset
    if lock is not None:
        numbers |= _point("gear.lock_link.root", plan.gear.pins["lock root"].at + s.ground("lock root"))
        numbers |= {"gear.lock_link.upper_link": lock.first, "gear.lock_link.over_centre": lock.offset}
        pin = study.gear.lock_link.pin if study.gear.lock_link else Place(pin="knee")
        numbers |= _place("gear.lock_link.pin", pin, s.hole("lock pin") + s.play("lock pin"))
    return numbers, brace, lock


def _point(field: str, at: Any) -> dict[str, Any]:
    return {f"{field}[0]": at.real, f"{field}[1]": at.imag}


def _place(field: str, place: Place, by: Any) -> dict[str, Any]:
    """A hole of a piece moved along and across its line by the real and imaginary part."""
    if place.pin is not None or not np.any(by):
        return {}
    if place.along is not None:
        return {f"{field}.along": place.along + by.real, f"{field}.offset": place.offset + by.imag}
    if place.at is not None:
        return {f"{field}.at[0]": place.at[0] + by.real, f"{field}.at[1]": place.at[1] + by.imag}
    arm = (place.radius or 0.0) * np.exp(1j * np.radians(place.angle)) + by
    turned = place.angle + np.degrees(np.angle(arm * np.exp(-1j * np.radians(place.angle))))
    return {f"{field}.radius": np.abs(arm), f"{field}.angle": turned}


def _strut(field: str, entry: Any, name: str, s: _Sizes) -> dict[str, Any]:
    """Both pins of an actuator or spring."""
    if entry.root is None:
        return {}
    root = complex(*entry.root) + s.ground(f"{name} root")
    return _point(f"{field}.root", root) | _place(
        f"{field}.pin", entry.pin, s.hole(f"{name} pin") + s.play(f"{name} pin")
    )


def _locked(plan: Blueprint, s: _Sizes) -> tuple[Pair, Pair | None]:
    """Brace and lock links as their stops make them, the governing one first; of two stops the lesser offset counts."""
    if plan.gear.lock_link is not None and plan.stops[0] == pieces.LOCK_STOP:
        lock = _stopped(
            plan, s, plan.gear.lock_link, pieces.LOCK_UPPER, pieces.LOCK_LOWER, pieces.LOCK_STOP, "lock knee"
        )
        return _held_by_links(plan, s, lock), lock
    shape = plan.gear.brace
    brace = _stopped(plan, s, shape, pieces.UPPER, pieces.LOWER, pieces.KNEE_STOP, "knee")
    if pieces.LEG_STOP in plan.stops:
        other = _held_by_leg(plan, s)
        if pieces.KNEE_STOP not in plan.stops:
            brace = other
        else:
            brace = Pair(
                brace.first,
                brace.second,
                np.where(other.offset < brace.offset, other.span, brace.span),
                np.where(brace.offset <= other.offset, brace.offset, other.offset),
                other.lack,
            )
    if plan.gear.lock_link is None:
        return brace, None
    return brace, _closed_links(plan, s, brace)


def _stopped(plan: Blueprint, s: _Sizes, shape: BraceShape, first: str, second: str, stop: str, knee: str) -> Pair:
    bend = bend_of(shape.upper_link, shape.lower_link, shape.over_centre + s.size(stop))
    arm = plan.study.tolerances.knee_stop_arm
    return by_stop(shape.upper_link + s.size(first), shape.lower_link + s.size(second), bend, s.play(knee), arm)


def _held_by_leg(plan: Blueprint, s: _Sizes) -> Pair:
    """The leg on its stop holds the lug: the stop on the airframe keeps the leg's direction."""
    shape, gear = plan.gear.brace, plan.gear
    lug = (gear.brace.lug - gear.pins["trunnion"].at) / gear.down + s.hole("lug") + s.play("lug")
    down = gear.down * np.exp(1j * s.size(pieces.LEG_STOP) / abs(lug))
    far = gear.pins["trunnion"].at + s.ground("trunnion") + lug * down
    span = np.abs(far - gear.pins["upper pin"].at - s.ground("upper pin"))
    first, second = shape.upper_link + s.size(pieces.UPPER), shape.lower_link + s.size(pieces.LOWER)
    return by_ends(first, second, span, s.play("knee"), float(np.sign(shape.over_centre)))


def _meeting(side: Any, near: Any, radius: Any, reach: Any, end: Any) -> Any:
    """Point at ``radius`` from ``near`` and ``reach`` from ``end``, on the side on which the drawing has it."""
    base = end - near
    along = (np.abs(base) ** 2 + radius**2 - reach**2) / (2.0 * np.abs(base))
    return near + base / np.abs(base) * (along + side * 1j * np.sqrt(radius**2 - along**2))


def _held_by_links(plan: Blueprint, s: _Sizes, lock: Pair) -> Pair:
    """The lock links hold the upper link, and so the knee; the lower link hangs the leg on it."""
    gear = plan.gear
    upper = gear.pins["upper pin"].at + s.ground("upper pin")
    root = gear.pins["lock root"].at + s.ground("lock root")
    first = gear.brace.upper_link + s.size(pieces.UPPER)
    arm = _lock_arm(plan, s, first)
    drawn_pin, drawn_upper = gear.pins["lock pin"].at, gear.pins["upper pin"].at
    side = np.sign(cross(gear.pins["lock root"].at - drawn_upper, drawn_pin - drawn_upper))
    pin = _meeting(side, upper, np.abs(arm), lock.span, root)
    knee = upper + first * (pin - upper) / arm
    trunnion = gear.pins["trunnion"].at + s.ground("trunnion")
    lug = (gear.brace.lug - gear.pins["trunnion"].at) / gear.down + s.hole("lug") + s.play("lug")
    second = np.abs(gear.brace.lower_link + s.size(pieces.LOWER) + s.play("knee"))
    drawn = gear.pins["trunnion"].at
    turn = np.sign(cross(gear.brace.knee - drawn, gear.brace.lug - drawn))
    far = _meeting(turn, trunnion, np.abs(lug), second, knee)
    span = np.abs(far - upper)
    offset = past(upper, far, knee, gear.brace.fold)
    return Pair(first, second, span, offset, np.zeros(np.shape(span)))


def _lock_arm(plan: Blueprint, s: _Sizes, first: Any) -> Any:
    """Pin of the lock links on the upper link, along and across its line from the upper pin."""
    entry = plan.study.gear.lock_link
    if entry is None or entry.pin.radius is None:
        return first + 0j
    return entry.pin.radius * np.exp(1j * np.radians(entry.pin.angle)) + s.hole("lock pin") + s.play("lock pin")


def _closed_links(plan: Blueprint, s: _Sizes, brace: Pair) -> Pair:
    """Lock links whose ends the brace holds, where the knee stop governs."""
    gear, shape = plan.gear, plan.gear.lock_link
    if shape is None:
        raise ValueError("no lock links")
    numbers = {"gear.brace.upper_link": brace.first, "gear.brace.lower_link": brace.second}
    numbers["gear.brace.over_centre"] = brace.offset
    trunnion, upper = gear.pins["trunnion"].at + s.ground("trunnion"), gear.pins["upper pin"].at + s.ground("upper pin")
    numbers |= _point("gear.trunnion", trunnion) | _point("gear.brace.upper_pin", upper)
    numbers |= _place("gear.brace.lug", plan.study.gear.brace.lug, s.hole("lug") + s.play("lug"))
    knee = build(varied(plan.study, numbers)).pins["knee"].at
    pin = upper + (knee - upper) / brace.first * _lock_arm(plan, s, brace.first)
    span = np.abs(pin - gear.pins["lock root"].at - s.ground("lock root"))
    first, second = shape.upper_link + s.size(pieces.LOCK_UPPER), shape.lower_link + s.size(pieces.LOCK_LOWER)
    return by_ends(first, second, span, s.play("lock knee"), float(np.sign(shape.over_centre)))


def _left(plan: Blueprint, s: _Sizes, gear: Gear, brace: Pair, lock: Pair | None) -> Floats:
    """Offset of the pair that locks, past the line from pin to pin; the lesser of the two holes of its knee counts."""
    if lock is None or plan.gear.lock_link is None:
        pair, shape, (near, knee, far) = brace, gear.brace, ("upper pin", "knee", "lug")
        second, along = plan.gear.brace.lower_link + s.size(pieces.LOWER), gear.down
    else:
        pair, shape, (near, knee, far) = lock, gear.lock_link or gear.brace, ("lock root", "lock knee", "lock pin")
        second = plan.gear.lock_link.lower_link + s.size(pieces.LOCK_LOWER)
        link = gear.brace.knee - gear.pins["upper pin"].at
        along = link / np.abs(link)
    holes = knee_holes(pair, s.play(knee), second, gear.pins[knee].at, gear.pins[far].at, shape.fold)
    start, end = gear.pins[near].at - s.play(near), gear.pins[far].at - s.play(far) * along
    left = np.minimum(*(past(start, end, hole, shape.fold) for hole in holes))
    return np.asarray(np.where(pair.lack > 0, -pair.lack, left))
