"""Actuator and pin forces of the moving demo gear, gas spring and inertia on, against a general physics engine.

At each pose of the powered stroke the engine is given the speeds and accelerations of the time law; its mass matrix and
bias forces say what must act, linear equations give drive and closing forces, and with those applied its own forward
dynamics must return the accelerations and its sensors the other pins. Forces to 1e-8 of the largest.
"""

from __future__ import annotations

from typing import Any

import mujoco
import numpy as np
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


def along(j: Judge, strut: str) -> tuple[complex, Any]:
    """Unit vector of a strut, and its push as generalised force."""
    way = j.site(f"{strut} pin") - j.site(f"{strut} root")
    way /= abs(way)
    return way, (j._by(f"{strut} pin") - j._by(f"{strut} root")).T @ [way.real, way.imag]


def test_forces_of_the_moving_gear() -> None:
    plain = changed({}).gear.mass
    masses = [m.model_dump(exclude_none=True, exclude_defaults=True) for m in plain] + LINKS
    gear, stroke, found = solved(NO_FRICTION, STILL, {"gear.mass": masses, "gear.actuator.cycle_time": 0.9})
    assert found.run is not None
    assert not brace_masses(gear, 1.0)
    j, motion = judge(gear), stroke.motion
    case = next(i for i, c in enumerate(found.conditions) if c.load_factor == 1.0 and c.health == 1.0)
    bodies = (UPPER, LOWER, LEG)
    parents = {UPPER: None, LOWER: UPPER, LEG: None}
    compared = 0
    for pose in range(1, len(stroke.driven), 9):
        j.close(gear.drive_sense * float(stroke.driven[pose]))
        rate, accel = gear.drive_sense * found.run.rate[pose], gear.drive_sense * found.run.accel[pose]
        spin = {b: motion.spin(b)[0, pose] for b in bodies}
        gain = {b: motion.spin_rate(b)[0, pose] for b in bodies}
        speeds = [spin[b] - (spin[p] if (p := parents[b]) else 0.0) for b in bodies]
        gains = [gain[b] - (gain[p] if (p := parents[b]) else 0.0) for b in bodies]
        wanted = np.array(speeds) * accel + np.array(gains) * rate**2
        j.data.qvel[:] = np.array(speeds) * rate
        j.data.xfrc_applied[:] = 0.0
        mujoco.mj_forward(j.model, j.data)
        inertia = np.zeros((3, 3))
        mujoco.mj_fullM(j.model, j.data, inertia)
        needed = inertia @ wanted + j.data.qfrc_bias
        spring = float(found.moment["gas spring"][case, 0, pose] / found.units.of("gas spring")[pose])
        spring_way, spring_row = along(j, "gas spring")
        way, row = along(j, "actuator")
        columns = np.array([row, *(j._by("lug") - j._by("lug on lower"))]).T
        push, x, z = np.linalg.solve(columns, needed - spring * spring_row)
        largest = max(abs(found.joint[n][case, 0, pose]) for n in ("upper pin", "knee", "lug", "trunnion"))
        assert found.push[case, 0, pose] == pytest.approx(push, abs=1e-8 * largest)
        assert found.joint["lug"][case, 0, pose] == pytest.approx(complex(x, z), abs=1e-8 * largest)
        for site, force in (
            ("actuator pin", push * way),
            ("gas spring pin", spring * spring_way),
            ("lug", complex(x, z)),
            ("lug on lower", -complex(x, z)),
        ):
            j._apply(site, force)
        mujoco.mj_forward(j.model, j.data)
        assert j.data.qacc == pytest.approx(wanted, abs=1e-8 * max(1.0, float(np.abs(wanted).max())))
        for joint, name in (("upper pin", "upper"), ("knee", "lower"), ("trunnion", "leg")):
            assert found.joint[joint][case, 0, pose] == pytest.approx(j._sensed(name), abs=1e-8 * largest), joint
        compared += 1
    assert compared == 20
