"""Document -> pins and slides, one function a sub-assembly. All drawn down and locked."""

from __future__ import annotations

from linkage.document.drive import LockSpring
from linkage.document.gear import Actuator, Brace, Spring
from linkage.document.lock import Door, LockLink
from linkage.errors import DocumentError, Fault
from linkage.gear.frame import Frame
from linkage.gear.model import (
    BARREL,
    BRACE,
    CRANK,
    CRANK_ROD,
    LEG,
    LOCK_LOWER,
    LOCK_UPPER,
    LOWER,
    ROD,
    SLIDER,
    UPPER,
    BodyPoint,
    BraceShape,
    Tie,
)
from linkage.gear.shape import lock_link_shape
from linkage.mechanism.model import GROUND, Joint, Pin, Slide
from linkage.plane.vectors import at


def brace_joints(brace: Brace, frame: Frame) -> list[Joint]:
    """Brace and leg between upper pin and trunnion."""
    upper, lug, trunnion = (frame.pins[name].at for name in ("upper pin", "lug", "trunnion"))
    hinge = Pin("trunnion", GROUND, LEG, trunnion)
    if brace.kind == "telescoping":
        return [
            Pin("upper pin", GROUND, BARREL, upper),
            Slide("brace", BARREL, ROD, lug, lug - upper),
            Pin("lug", ROD, LEG, lug),
            hinge,
        ]
    if brace.track_to is not None:
        return [
            Slide("track", GROUND, SLIDER, upper, at(brace.track_to) - upper),
            Pin("upper pin", SLIDER, BRACE, upper),
            Pin("lug", BRACE, LEG, lug),
            hinge,
        ]
    return [
        Pin("upper pin", GROUND, UPPER, upper),
        Pin("knee", UPPER, LOWER, frame.pins["knee"].at),
        Pin("lug", LOWER, LEG, lug),
        hinge,
    ]


def lock_link_joints(entry: LockLink | None, frame: Frame) -> tuple[list[Joint], BraceShape | None]:
    """A second folding pair from the airframe to the upper link."""
    if entry is None:
        return [], None
    far = frame.place(entry.pin, UPPER, "gear.lock_link.pin")
    if far.body != UPPER and entry.pin.pin != "knee":
        found = f"{entry.pin.pin!r} lies on the {far.body}"
        raise DocumentError([Fault("gear.lock_link.pin", found, "'knee', or a place on the upper link")])
    shape = lock_link_shape(entry, far.at)
    root = at(entry.root)
    frame.pins["lock root"] = BodyPoint(LOCK_UPPER, root)
    frame.pins["lock knee"] = BodyPoint(LOCK_LOWER, shape.knee)
    frame.pins["lock pin"] = BodyPoint(UPPER, far.at)
    joints: list[Joint] = [
        Pin("lock root", GROUND, LOCK_UPPER, root),
        Pin("lock knee", LOCK_UPPER, LOCK_LOWER, shape.knee),
        Pin("lock pin", LOCK_LOWER, UPPER, far.at),
    ]
    return joints, shape


def strut_joints(name: str, root: complex, end: BodyPoint, frame: Frame) -> list[Joint]:
    """A telescoping pair between the airframe and a pin of the gear; the slide carries the plain name."""
    barrel, rod = f"{name} barrel", f"{name} rod"
    frame.pins[f"{name} root"] = BodyPoint(barrel, root)
    frame.pins[f"{name} pin"] = BodyPoint(rod, end.at)
    return [
        Pin(f"{name} root", GROUND, barrel, root),
        Slide(name, barrel, rod, end.at, end.at - root),
        Pin(f"{name} pin", rod, end.body, end.at),
    ]


def actuator_joints(entry: Actuator, frame: Frame) -> list[Joint]:
    """Actuator with its bell-crank, if it has one. Built into the brace it adds no joint, only its two pins' names."""
    if entry.pushes == "brace":
        frame.pins["actuator root"] = BodyPoint(BARREL, frame.pins["upper pin"].at)
        frame.pins["actuator pin"] = BodyPoint(ROD, frame.pins["lug"].at)
        return []
    if entry.root is None or entry.pin is None:
        raise ValueError("the document leaves root and pin out only of an actuator built into the brace")
    joints: list[Joint] = []
    if entry.crank is not None:
        pivot, rod_pin = at(entry.crank.pivot), at(entry.crank.rod_pin)
        end = frame.place(entry.crank.end, entry.crank.drives, "gear.actuator.crank.end")
        frame.pins["crank pivot"] = BodyPoint(CRANK, pivot)
        frame.pins["crank rod pin"] = BodyPoint(CRANK_ROD, rod_pin)
        frame.pins["crank rod end"] = BodyPoint(CRANK_ROD, end.at)
        joints = [
            Pin("crank pivot", GROUND, CRANK, pivot),
            Pin("crank rod pin", CRANK, CRANK_ROD, rod_pin),
            Pin("crank rod end", CRANK_ROD, end.body, end.at),
        ]
    pushed = frame.place(entry.pin, entry.pushes, "gear.actuator.pin")
    return joints + strut_joints("actuator", at(entry.root), pushed, frame)


def spring_joints(entry: Spring, frame: Frame) -> list[Joint]:
    end = frame.place(entry.pin, entry.on, f"gear.spring {entry.name!r} pin")
    return strut_joints(entry.name, at(entry.root), end, frame)


def tie(entry: LockSpring, frame: Frame, path: str) -> Tie:
    on = [GROUND if body == "airframe" else body for body in (entry.start_on, entry.end_on)]
    start, end = frame.place(entry.start, on[0], f"{path}.from"), frame.place(entry.end, on[1], f"{path}.to")
    return Tie(entry.name, start, end)


def door_joints(entry: Door, frame: Frame) -> list[Joint]:
    """A door on a hinge of the airframe, and the rod that drives it from the gear."""
    name, rod = entry.name, f"{entry.name} rod"
    hinge, on_door = at(entry.hinge), at(entry.rod_on_door)
    on_gear = frame.place(entry.rod_on_gear, entry.on, f"gear.door {name!r} rod_on_gear")
    frame.pins[f"{name} hinge"] = BodyPoint(name, hinge)
    frame.pins[f"{name} tip"] = BodyPoint(name, at(entry.tip))
    frame.pins[f"{name} rod pin"] = BodyPoint(name, on_door)
    frame.pins[f"{name} rod end"] = BodyPoint(rod, on_gear.at)
    return [
        Pin(f"{name} hinge", GROUND, name, hinge),
        Pin(f"{name} rod pin", name, rod, on_door),
        Pin(f"{name} rod end", rod, on_gear.body, on_gear.at),
    ]
