"""Whole gears, built from study documents, against a general physics engine: every topology whose bodies turn on pins.

The engine's tree is made from the gear's joints: bodies hang on the first pin that reaches them, every further pin is a
loop that the judge closes for itself. Bounds: positions 1e-9 m, forces 1e-8 of the largest.
"""

from __future__ import annotations

import numpy as np
import pytest

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism import GROUND, Load, Pin, balance, effort_by_work, travel_rate
from linkage.stroke import gear_and_stroke, motion_at
from tests.agreement.engine import GRAVITY, Judge, Part, Site
from tests.gear.test_topologies import CRANK_FORWARD
from tests.topologies import forward, study

MM = 1e-3
GEARS: dict[str, Study] = {
    "upper link": study("upper link"),
    "lower link": study("lower link"),
    "leg, knee locks below": study("leg"),
    "leg, knee locks above": study("leg", {"gear.brace.knee_folds": "down", "gear.leg.swing_up": 30}),
    "bell-crank": study("bell-crank"),
    "bell-crank, folding forward": forward(CRANK_FORWARD),
    "leg, folding forward": forward(),
    "lock links": study("lock links"),
    "door": study("door"),
}


def pins(gear: Gear) -> list[Pin]:
    """Pins between bodies of the gear, those of the actuator itself left out: to the judge it is a push."""
    own = {"actuator barrel", "actuator rod"}
    return [j for j in gear.mechanism.joints if isinstance(j, Pin) and not {j.a, j.b} & own]


def weigh(gear: Gear, seed: int) -> dict[str, tuple[float, complex]]:
    """Mass in kg and centre in mm of every body, made up."""
    rng = np.random.default_rng(seed)
    ends: dict[str, list[complex]] = {}
    for j in pins(gear):
        for body in (j.a, j.b):
            ends.setdefault(body, []).append(complex(j.at))
    return {
        body: (float(rng.uniform(0.4, 3.0)), np.mean(places) + complex(*rng.uniform(-30, 30, 2)))
        for body, places in ends.items()
        if body != GROUND
    }


def judge_of(gear: Gear, masses: dict[str, tuple[float, complex]]) -> tuple[Judge, dict[str, str]]:
    """The judge, and the joint that each hinge and each loop of it stands for."""
    joints = pins(gear)
    joints.sort(key=lambda j: j.name != gear.mechanism.driver)  # the judge turns its first part
    known, parts, names = {GROUND: "world"}, [], {}
    while len(known) < len(masses) + 1:
        joint = next(j for j in joints if (j.a in known) != (j.b in known))
        parent, body = (joint.a, joint.b) if joint.a in known else (joint.b, joint.a)
        kg, cg = masses[body]
        parts.append(Part(body, known[parent], joint.at * MM, kg, cg * MM, 0.01))  # type: ignore[operator]
        known[body], names[body] = body, joint.name
    sites, loops = [], []
    for j in joints:
        if j.name not in names.values():
            sites += [Site(f"{j.name} a", known[j.a], j.at * MM), Site(f"{j.name} b", known[j.b], j.at * MM)]  # type: ignore[operator]
            loops.append((f"{j.name} a", f"{j.name} b"))
            names[f"{j.name} b"] = j.name
    root, pin = gear.pins["actuator root"].at, gear.pins["actuator pin"].at
    sites += [Site("actuator root", "world", root * MM), Site("actuator pin", gear.pushed, pin * MM)]
    sites.append(Site("axle", "leg", gear.pins["axle"].at * MM))
    return Judge(parts, sites, loops, ("actuator root", "actuator pin")), names


@pytest.mark.parametrize("name", GEARS)
def test_gear_against_the_engine(name: str) -> None:
    gear, stroke = gear_and_stroke(GEARS[name])
    masses = weigh(gear, len(name))
    judge, names = judge_of(gear, masses)
    driven = np.linspace(1.5 * stroke.dead_centre, stroke.driven_up, 9)
    motion = motion_at(gear, driven)
    loads = [Load(body, cg, -1j * GRAVITY * kg) for body, (kg, cg) in masses.items()]
    found = balance(gear.mechanism, motion, loads, gear.effort_at)
    work = effort_by_work(gear.mechanism, motion, loads, gear.effort_at)[0]
    rate = np.abs(travel_rate(motion, gear.mechanism, gear.effort_at)[0])
    flipped = {j.name for j in pins(gear) if names.get(j.a) == j.name}  # the judge's part is the joint's body a
    compared = 0
    for i, q in enumerate(driven):
        judge.close(gear.drive_sense * float(q))
        for pin in ("axle", "actuator pin"):
            body = gear.pushed if pin == "actuator pin" else "leg"
            assert abs(motion.point(body, gear.pins[pin].at)[0, i] * MM - judge.site(pin)) < 1e-9
        if rate[i] < 0.05 * rate.max():
            continue
        drive, closing, hinges = judge.hold()
        forces = {names[k]: f for k, f in (closing | hinges).items()}
        largest = max(abs(f) for f in forces.values())
        assert abs(found.effort[0, i] - drive) < 1e-8 * largest
        assert abs(work[i] - drive) < 1e-8 * largest
        for joint, force in forces.items():
            sign = -1.0 if joint in flipped else 1.0
            assert abs(sign * found.joint[joint][0, i] - force) < 1e-8 * largest, joint
        assert len(forces) == len(pins(gear))
        compared += 1
    assert compared >= 7
