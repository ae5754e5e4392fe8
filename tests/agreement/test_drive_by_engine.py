"""Actuator and pin forces of the moving demo gear, gas spring and inertia on, against a general physics engine.

At each pose of the powered stroke the engine is given rate and acceleration of the upper link by the time law, and the
push of the gas spring; what else must act it says itself (`tests.agreement.engine`). Forces to 1e-8 of the largest.
"""

from __future__ import annotations

import pytest

from linkage.actuation.sources import brace_masses
from linkage.gear import LEG, LOWER, UPPER, Gear
from tests.actuation.cases import NO_FRICTION, STILL, solved
from tests.agreement.engine import Judge, Part, Site
from tests.studies import changed

MM = 1e-3
LINKS = [
    {"name": "upper link", "mass": 0.7, "at": {"radius": 110}, "on": "upper link", "gyration": 58},
    {"name": "lower link", "mass": 0.4, "at": {"radius": 60, "angle": 5}, "on": "lower link", "gyration": 35},
]
PARTS = {"upper pin": "upper", "knee": "lower", "trunnion": "leg"}
"""Part whose hinge a pin is."""


def part(gear: Gear, body: str, name: str, parent: str, hinge: complex) -> Part:
    """All masses on one body as one: centre and moment of inertia."""
    own = [m for m in gear.masses if m.at.body == body]
    mass = sum(m.kg for m in own)
    centre = sum(m.kg * m.at.at for m in own) / mass
    inertia = sum(m.kg * (abs(m.at.at - centre) ** 2 + m.gyration**2) for m in own)
    return Part(name, parent, hinge * MM, mass, centre * MM, inertia * MM * MM)


def judge(gear: Gear) -> Judge:
    at = {name: p.at for name, p in gear.pins.items()}
    parts = [
        part(gear, UPPER, "upper", "world", at["upper pin"]),
        part(gear, LOWER, "lower", "upper", at["knee"]),
        part(gear, LEG, "leg", "world", at["trunnion"]),
    ]
    sites = [Site("lug on lower", "lower", at["lug"] * MM), Site("lug", "leg", at["lug"] * MM)]
    for strut in ("actuator", "gas spring"):
        sites += [
            Site(f"{strut} root", "world", at[f"{strut} root"] * MM),
            Site(f"{strut} pin", "upper", at[f"{strut} pin"] * MM),
        ]
    return Judge(parts, sites, [("lug on lower", "lug")], ("actuator root", "actuator pin"))


def test_forces_of_the_moving_gear() -> None:
    plain = changed({}).gear.mass
    masses = [m.model_dump(exclude_none=True, exclude_defaults=True) for m in plain] + LINKS
    gear, stroke, found = solved(NO_FRICTION, STILL, {"gear.mass": masses, "gear.actuator.cycle_time": 0.9})
    assert found.run is not None
    assert not brace_masses(gear, 1.0)
    j = judge(gear)
    case = next(i for i, c in enumerate(found.conditions) if c.load_factor == 1.0 and c.health == 1.0)
    compared = 0
    for pose in range(1, len(stroke.driven), 9):
        j.close(gear.drive_sense * float(stroke.driven[pose]))
        j.stir(gear.drive_sense * float(found.run.rate[pose]), gear.drive_sense * float(found.run.accel[pose]))
        spring = float(found.moment["gas spring"][case, 0, pose] / found.units.of("gas spring")[pose])
        push, closing, hinges = j.hold({("gas spring root", "gas spring pin"): spring})
        forces = {"lug": closing["lug"]} | {joint: hinges[name] for joint, name in PARTS.items()}
        largest = max(abs(f) for f in forces.values())
        assert found.push[case, 0, pose] == pytest.approx(push, abs=1e-8 * largest)
        for joint, force in forces.items():
            assert found.joint[joint][case, 0, pose] == pytest.approx(force, abs=1e-8 * largest), joint
        compared += 1
    assert compared == 20
