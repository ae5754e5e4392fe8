"""The pins of a study that can be moved by hand, and the fields of the document in which each has its place."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from linkage.document.quantities import Place
from linkage.document.study import Study
from linkage.gear import CRANK, LEG, UPPER, Gear
from linkage.gear.frame import LINES
from linkage.mechanism.model import GROUND
from linkage.plane.vectors import at, dot
from linkage.stroke import motion_at

Form = Literal["point", "on leg", "on link", "axle", "knee", "lock knee"]


@dataclass(frozen=True)
class Handle:
    """A pin that can be moved: ``at`` is its place FS + 1j*WL in mm with the gear down and locked, ``body`` what
    carries it ("ground" for one on the airframe), ``field`` and ``form`` where and how the document holds it."""

    name: str
    at: complex
    body: str
    field: str
    form: Form = "point"

    @property
    def fixed(self) -> bool:
        return self.body == GROUND


def handles(study: Study, gear: Gear) -> tuple[Handle, ...]:
    """Every pin with a place of its own in the document; one that is said to lie on another pin has none."""
    return tuple(_handles(study, gear))


def _handles(study: Study, gear: Gear) -> Iterator[Handle]:
    entry, pins = study.gear, {name: complex(p.at) for name, p in gear.pins.items()}
    yield Handle("trunnion", pins["trunnion"], GROUND, "gear.trunnion")
    yield Handle("upper pin", pins["upper pin"], GROUND, "gear.brace.upper_pin")
    if entry.brace.track_to is not None:
        yield Handle("track end", complex(at(entry.brace.track_to)), GROUND, "gear.brace.track_to")
    if "knee" in pins:
        drawn = entry.brace.knee is not None
        yield Handle("knee", pins["knee"], UPPER, "gear.brace.knee" if drawn else "gear.brace", "knee")
    yield Handle("lug", pins["lug"], LEG, "gear.brace.lug", "on leg")
    yield Handle("axle", pins["axle"], LEG, "gear.leg", "axle")
    yield from _actuator(study, pins)
    for i, s in enumerate(entry.spring):
        yield Handle(f"{s.name} root", pins[f"{s.name} root"], GROUND, f"gear.spring[{i}].root")
        yield from _place(f"{s.name} pin", s.pin, pins[f"{s.name} pin"], s.on, f"gear.spring[{i}].pin")
    yield from _locks(study, gear, pins)
    for i, d in enumerate(entry.door):
        for pin, key, body in (("hinge", "hinge", GROUND), ("tip", "tip", d.name), ("rod pin", "rod_on_door", d.name)):
            yield Handle(f"{d.name} {pin}", pins[f"{d.name} {pin}"], body, f"gear.door[{i}].{key}")
        yield from _place(
            f"{d.name} rod end", d.rod_on_gear, pins[f"{d.name} rod end"], d.on, f"gear.door[{i}].rod_on_gear"
        )


def _actuator(study: Study, pins: Mapping[str, complex]) -> Iterator[Handle]:
    entry = study.gear.actuator
    if entry.root is None or entry.pin is None:
        return
    yield Handle("actuator root", pins["actuator root"], GROUND, "gear.actuator.root")
    body = CRANK if entry.crank is not None else entry.pushes
    yield from _place("actuator pin", entry.pin, pins["actuator pin"], body, "gear.actuator.pin")
    if entry.crank is not None:
        field = "gear.actuator.crank"
        yield Handle("crank pivot", pins["crank pivot"], GROUND, f"{field}.pivot")
        yield Handle("crank rod pin", pins["crank rod pin"], CRANK, f"{field}.rod_pin")
        yield from _place("crank rod end", entry.crank.end, pins["crank rod end"], entry.crank.drives, f"{field}.end")


def _locks(study: Study, gear: Gear, pins: Mapping[str, complex]) -> Iterator[Handle]:
    entry = study.gear
    if entry.lock_link is not None:
        drawn = entry.lock_link.knee is not None
        yield Handle("lock root", pins["lock root"], GROUND, "gear.lock_link.root")
        field = "gear.lock_link.knee" if drawn else "gear.lock_link"
        yield Handle("lock knee", pins["lock knee"], gear.driven, field, "lock knee")
        yield from _place("lock pin", entry.lock_link.pin, pins["lock pin"], UPPER, "gear.lock_link.pin")
    if entry.lock is not None and entry.lock.hook is not None:
        yield from _place("hook", entry.lock.hook.at, pins["hook"], entry.lock.hook.on, "gear.lock.hook.at")
    if entry.up_stop is not None and entry.up_stop.at is not None:
        yield from _place("up stop", entry.up_stop.at, pins["up stop"], LEG, "gear.up_stop.at")
    for i, (spring, tie) in enumerate(zip(entry.lock_spring, gear.ties, strict=True)):
        for key, place, on, point in (
            ("from", spring.start, spring.start_on, tie.start),
            ("to", spring.end, spring.end_on, tie.end),
        ):
            body = GROUND if on == "airframe" else on
            yield from _place(f"{spring.name} {key}", place, point.at, body, f"gear.lock_spring[{i}].{key}")


def _place(name: str, place: Place, point: complex, body: str, field: str) -> Iterator[Handle]:
    if place.along is not None:
        yield Handle(name, complex(point), LEG, field, "on leg")
    elif place.radius is not None:
        yield Handle(name, complex(point), body, field, "on link")
    elif place.at is not None:
        yield Handle(name, complex(point), body, f"{field}.at")


def drawn_place(gear: Gear, handle: Handle, driven: float, point: complex) -> complex:
    """Where a pin lies down and locked, that at a driven rotation (rad, towards up) is seen at ``point``."""
    if handle.fixed or driven == 0.0:
        return point
    shift, turn = pose_of(gear, handle.body, driven)
    return (point - shift) / turn


def seen_place(gear: Gear, handle: Handle, driven: float) -> complex:
    """Where a pin is seen, FS + 1j*WL in mm, at a driven rotation in rad, towards up positive."""
    if handle.fixed:
        return handle.at
    shift, turn = pose_of(gear, handle.body, driven)
    return shift + turn * handle.at


def pose_of(gear: Gear, body: str, driven: float) -> tuple[complex, complex]:
    """Shift in mm and unit turn of a body: what is drawn at z lies at shift + turn*z."""
    motion = motion_at(gear, np.array([driven]), 0)
    shift = complex(motion.point(body, 0j)[0, 0])
    return shift, complex(motion.point(body, 1.0 + 0j)[0, 0]) - shift


def fields_of(study: Study, gear: Gear, handle: Handle, places: Mapping[str, complex]) -> dict[str, float]:
    """Fields that put the pin where ``places`` (by pin, mm, down and locked) has it, in inside units, angles in deg.

    The leg keeps its direction; lines of links run between the pins as ``places`` has them.
    """
    here, field = places[handle.name], handle.field
    match handle.form:
        case "on leg":
            arm = (here - places["trunnion"]) / gear.down
            return {f"{field}.along": arm.real, f"{field}.offset": arm.imag}
        case "axle":
            arm = (here - places["trunnion"]) / gear.down
            return {f"{field}.length": arm.real, f"{field}.axle_offset": arm.imag}
        case "on link":
            start, end = (places[name] for name in LINES[handle.body])
            arm = (here - start) / (end - start) * abs(end - start)
            return {f"{field}.radius": abs(arm), f"{field}.angle": math.degrees(cmath.phase(arm))}
        case "knee" if study.gear.brace.knee is None:
            near, far = places["upper pin"], places["lug"]
            sizes = {f"{field}.upper_link": abs(here - near), f"{field}.lower_link": abs(far - here)}
            return {**sizes, f"{field}.over_centre": over_centre(near, here, far, gear.brace.fold)}
        case "lock knee" if gear.lock_link is not None and study.gear.lock_link and study.gear.lock_link.knee is None:
            near, far = places["lock root"], places["lock pin"]
            offset = over_centre(near, here, far, gear.lock_link.fold)
            return {f"{field}.upper_link": abs(here - near), f"{field}.over_centre": offset}
        case _:
            return {f"{field}[0]": here.real, f"{field}[1]": here.imag}


def over_centre(near: complex, knee: complex, far: complex, fold: complex) -> float:
    """Distance of a knee past its line, on the side away from its fold: mm, positive over centre."""
    side = 1j * (far - near) / abs(far - near)
    return float(-dot(knee - near, side if dot(side, fold) > 0 else -side))


def knee_at(near: complex, far: complex, link: float, offset: float, fold: complex) -> complex:
    """Where a knee lies that is a link's length from one end and past its line by an offset, mm: `over_centre` back.
    ``fold``: unit vector square to the line, to the side to which it folds."""
    return near + math.sqrt(max(link**2 - offset**2, 0.0)) * (far - near) / abs(far - near) - offset * fold


__all__ = ["Handle", "drawn_place", "fields_of", "handles", "knee_at", "over_centre", "pose_of", "seen_place"]
