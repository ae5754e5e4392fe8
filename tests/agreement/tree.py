"""A gear as a tree of bodies with its loops cut open, for engines that want it so: made from the gear's joints.

Bodies hang on the first joint that reaches them, every further pin is a loop. Barrel and rod of the actuator are left
out: to the engine it is a push between two points. Metres, kilograms, newtons.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.gear import Gear
from linkage.mechanism import GROUND, Joint, Pin, Slide
from tests.agreement.engine import Judge, Part, Site

MM = 1e-3
WORLD = "world"


@dataclass(frozen=True)
class Weight:
    """kg, centre of gravity as drawn in mm, moment of inertia in kg m2."""

    kg: float
    cg: complex
    inertia: float


@dataclass(frozen=True)
class Tree:
    """``joint_of``: joint that a part's hinge, or a loop by the name of its second site, stands for. ``flipped``:
    joints whose body a is the part that hangs on the other."""

    parts: tuple[Part, ...]
    sites: tuple[Site, ...]
    loops: tuple[tuple[str, str], ...]
    drive: tuple[str, str]
    joint_of: dict[str, str]
    flipped: frozenset[str]

    def judge(self) -> Judge:
        return Judge(self.parts, self.sites, self.loops, self.drive)


def joints_of(gear: Gear) -> list[Joint]:
    own = {"actuator barrel", "actuator rod"}
    return [j for j in gear.mechanism.joints if not {j.a, j.b} & own]


def weights(gear: Gear, rng: np.random.Generator) -> dict[str, Weight]:
    """Made up, some centimetres beside the middle of each body's joints."""
    ends: dict[str, list[complex]] = {}
    for j in joints_of(gear):
        for body in (j.a, j.b):
            ends.setdefault(body, []).append(complex(j.at))  # type: ignore[arg-type]
    return {
        body: Weight(
            float(rng.uniform(0.4, 3.0)),
            complex(np.mean(places)) + complex(*rng.uniform(-30, 30, 2)),
            float(rng.uniform(0.002, 0.02)),
        )
        for body, places in ends.items()
        if body != GROUND
    }


def tree_of(gear: Gear, masses: dict[str, Weight]) -> Tree:
    joints = joints_of(gear)
    joints.sort(key=lambda j: j.name != gear.mechanism.driver)  # the engine turns its first part
    known, parts, names, flipped = {GROUND: WORLD}, [], {}, set()
    while len(known) < len(masses) + 1:
        joint = next(j for j in joints if (j.a in known) != (j.b in known))
        parent, body = (joint.a, joint.b) if joint.a in known else (joint.b, joint.a)
        w, at = masses[body], complex(joint.at) * MM  # type: ignore[arg-type]
        along = complex(joint.along) if isinstance(joint, Slide) else None  # type: ignore[arg-type]
        parts.append(Part(body, known[parent], at, w.kg, w.cg * MM, w.inertia, along))
        known[body], names[body] = body, joint.name
        if body == joint.a:
            flipped.add(joint.name)
    sites, loops = [], []
    for j in joints:
        if j.name not in names.values():
            assert isinstance(j, Pin), f"{j.name}: a loop is closed by a pin"
            ends = (f"{j.name} a", f"{j.name} b")
            sites += [Site(end, known[body], complex(j.at) * MM) for end, body in zip(ends, (j.a, j.b), strict=True)]  # type: ignore[arg-type]
            loops.append(ends)
            names[ends[1]] = j.name
    drive = [Site("drive root", *_end(gear, known, 0)), Site("drive end", *_end(gear, known, 1))]
    sites += [*drive, Site("axle", "leg", gear.pins["axle"].at * MM)]
    return Tree(tuple(parts), tuple(sites), tuple(loops), ("drive root", "drive end"), names, frozenset(flipped))


def _end(gear: Gear, known: dict[str, str], which: int) -> tuple[str, complex]:
    """Body and place at which the actuator pushes; built into the brace it pushes its barrel and rod apart."""
    if gear.pushed:
        pin = gear.pins[("actuator root", "actuator pin")[which]]
        return (WORLD, gear.pushed)[which], pin.at * MM
    slide = gear.mechanism.joint(gear.effort_at)
    body, pin_name = ((slide.a, "upper pin"), (slide.b, "lug"))[which]
    return known[body], gear.pins[pin_name].at * MM
