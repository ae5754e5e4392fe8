"""Study -> Gear: trunnion, leg, brace, lock links, actuator, springs and doors as one mechanism, drawn locked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from linkage.document.gear import GearEntry, Part
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault, MechanismError
from linkage.gear.frame import Frame
from linkage.gear.joints import actuator_joints, brace_joints, door_joints, lock_link_joints, spring_joints, tie
from linkage.gear.model import (
    BARREL,
    LEG,
    LOCK_UPPER,
    LOWER,
    SLIDER,
    UPPER,
    BodyPoint,
    BraceShape,
    Gear,
    GearPart,
    PointMass,
)
from linkage.gear.shape import LEAST_ARM, leg_sense, lock_position
from linkage.mechanism.groups import TwoLinks
from linkage.mechanism.model import GROUND, Joint, Mechanism
from linkage.mechanism.plan import Plan, plan
from linkage.plane.vectors import at, dot, plain

UPPER_PIN_ON = {"folding": UPPER, "telescoping": BARREL, "sliding root": SLIDER}


@np.errstate(invalid="ignore")
def build(study: Study) -> Gear:
    """Assemble the gear of a study, or of a family (`linkage.document.variants`), whose points are then arrays.

    Raises ``MechanismError`` if the links cannot close in the lock, ``DocumentError`` if the knee as drawn lies on or
    before centre or a place names no pin or no body of this gear. Of a family such a design is NaN.
    """
    entry = study.gear
    down, brace = lock_position(entry)
    frame = Frame(_pins(entry, down, brace), down, 1j * down)
    joints, lock_link = _assemble(entry, frame)
    _check_bodies(entry, joints)
    _stop_pins(entry, frame)
    driven = LOCK_UPPER if lock_link else UPPER if brace.has_knee else LEG
    driver = {LOCK_UPPER: "lock root", UPPER: "upper pin", LEG: "trunnion"}[driven]
    mechanism = Mechanism(tuple(joints), driver)
    frame.joints.update({j.name: {j.a, j.b} for j in joints})
    sense, order = leg_sense(entry.folds), plan(mechanism)
    _check_arms(order)
    pair = lock_link or brace
    return Gear(
        mechanism=mechanism,
        plan=order,
        down=down,
        aft=frame.aft,
        leg_sense=sense,
        drive_sense=_fold_sense(pair, frame.pins[driver].at) if pair.has_knee else sense,
        driven=driven,
        brace=brace,
        lock_link=lock_link,
        thrust_line=("knee" if brace.has_knee else "upper pin", "lug"),
        pins=frame.pins,
        parts=tuple(_parts(entry, frame)),
        masses=tuple(_masses(entry, frame)),
        swing_up=plain(np.radians(entry.leg.swing_up)),
        effort_at="brace" if entry.actuator.pushes == "brace" else "actuator",
        pushed="" if entry.actuator.pushes == "brace" else entry.actuator.pushes,
        springs=tuple(s.name for s in entry.spring),
        doors=tuple(d.name for d in entry.door),
        ties=tuple(tie(s, frame, f"gear.lock_spring[{i}]") for i, s in enumerate(entry.lock_spring)),
    )


def _check_arms(order: Plan) -> None:
    """Two pins on one place do not say how a link stands. Raises ``MechanismError``; a family's design is NaN there."""
    arms = (
        (body, np.abs(group.c - pin))
        for group in order.groups
        if isinstance(group, TwoLinks)
        for body, pin in ((group.one, group.a), (group.two, group.b))
    )
    for body, arm in arms:
        if arm.size == 1 and arm.item() < LEAST_ARM:
            raise MechanismError(
                f"gear: two pins of the {body} lie {arm.item():.3g} mm apart and do not say how it stands;"
                f" the least that works is {LEAST_ARM:g} mm"
            )


def _assemble(entry: GearEntry, frame: Frame) -> tuple[list[Joint], BraceShape | None]:
    """Every joint, and the lock links if there are any. Adds the pins that they bring to the frame."""
    joints = brace_joints(entry.brace, frame)
    lock_joints, lock_link = lock_link_joints(entry.lock_link, frame)
    joints += [*lock_joints, *actuator_joints(entry.actuator, frame)]
    for spring in entry.spring:
        joints += spring_joints(spring, frame)
    for door in entry.door:
        joints += door_joints(door, frame)
    return joints, lock_link


def _pins(entry: GearEntry, down: complex, brace: BraceShape) -> dict[str, BodyPoint]:
    trunnion = at(entry.trunnion)
    knee = {"knee": BodyPoint(LOWER, brace.knee)} if brace.has_knee else {}
    return {
        "trunnion": BodyPoint(LEG, trunnion),
        "upper pin": BodyPoint(UPPER_PIN_ON[brace.kind], at(entry.brace.upper_pin)),
        **knee,
        "lug": BodyPoint(LEG, brace.lug),
        "axle": BodyPoint(LEG, trunnion + entry.leg.length * down + entry.leg.axle_offset * 1j * down),
    }


def _stop_pins(entry: GearEntry, frame: Frame) -> None:
    """Where a hook holds the lock, and where an up-lock or a leg stop holds the gear up."""
    if entry.lock is not None and entry.lock.hook is not None:
        frame.pins["hook"] = frame.place(entry.lock.hook.at, entry.lock.hook.on, "gear.lock.hook.at")
    if entry.up_stop is not None and entry.up_stop.at is not None:
        frame.pins["up stop"] = frame.place(entry.up_stop.at, LEG, "gear.up_stop.at")


def _fold_sense(pair: BraceShape, near: complex) -> float:
    """Sense in which the pair's first link turns as its knee folds; of a family a column, unless all designs agree."""
    sense: Any = np.sign(np.atleast_1d(dot(1j * (pair.knee - near), pair.fold)))
    known = set(sense[np.isfinite(sense)].tolist())
    return float(known.pop()) if len(known) == 1 else sense.reshape(-1, 1)


def _check_bodies(entry: GearEntry, joints: Sequence[Joint]) -> None:
    """Everything that is fixed on a body needs that body in this gear."""
    known = dict.fromkeys(b for j in joints for b in (j.a, j.b) if b != GROUND)
    named: list[tuple[str, str]] = [(f"gear.mass[{i}].on", m.on) for i, m in enumerate(entry.mass)]
    named += [(f"gear.part[{i}].on", p.on) for i, p in enumerate(entry.part)]
    named += [(f"gear.lock_spring[{i}]", b) for i, t in enumerate(entry.lock_spring) for b in (t.start_on, t.end_on)]
    if entry.lock is not None and entry.lock.hook is not None:
        named.append(("gear.lock.hook.on", entry.lock.hook.on))
    fine = {*known, "airframe"}
    found = [Fault(f, f"this gear has no {on}", f"one of {', '.join(known)}") for f, on in named if on not in fine]
    if found:
        raise DocumentError(found)


def _masses(entry: GearEntry, frame: Frame) -> Iterator[PointMass]:
    for i, m in enumerate(entry.mass):
        yield PointMass(m.name, m.mass, frame.place(m.at, m.on, f"gear.mass[{i}].at"), m.gyration)
    for d in entry.door:
        if d.mass > 0:
            middle = 0.5 * (at(d.hinge) + at(d.tip))
            yield PointMass(d.name, d.mass, BodyPoint(d.name, middle))


def _parts(entry: GearEntry, frame: Frame) -> Iterator[GearPart]:
    for i, part in enumerate(entry.part):
        yield _part(part, frame, i)
    for d in entry.door:
        core = (frame.pins[f"{d.name} hinge"], frame.pins[f"{d.name} tip"])
        yield GearPart(d.name, core, False, d.thickness / 2, d.butt_lines, False, False)


def _part(entry: Part, frame: Frame, i: int) -> GearPart:
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
        entry.name,
        points,
        entry.outline is not None,
        radius,
        entry.butt_lines,
        entry.on_piston,
        entry.tyre,
        entry.tyre or entry.steers,
        tuple(_sections(entry)),
    )


def _sections(entry: Part) -> Iterator[tuple[tuple[float, float], float]]:
    """Slices of a disc's section, each as wide as the section is where the slice is widest, the widest slice first."""
    low, high = entry.butt_lines[0]
    middle, half, radius = (low + high) / 2, (high - low) / 2, entry.radius or 0.0
    shape = list(entry.profile or ())
    if entry.shoulder is not None:
        edge, n = entry.shoulder, entry.slices
        turns = [math.pi / 2 * k / n for k in range(n + 1)]
        shape = [(0.0, radius)]
        shape += [(half - edge + edge * math.sin(t), radius - edge + edge * math.cos(t)) for t in turns[1:]]
        shape[-1] = (half, shape[-1][1])
    for (_, widest), (far, _) in reversed(list(pairwise(shape))):
        yield (middle - far, middle + far), widest


def _carrier(bodies: Sequence[set[str]], own: set[str]) -> str:
    """One body for all points of a part if there is one; else the body of the point that moves most simply."""
    shared = set.intersection(*bodies) or own
    order = [GROUND, UPPER, LEG, LOWER]
    return min(shared, key=lambda b: (order.index(b) if b in order else len(order), b))
