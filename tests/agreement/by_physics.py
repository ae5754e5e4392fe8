"""Random gears in motion against a general physics engine (`tests.agreement.engine`)."""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import numpy as np

from linkage.gear import LEG
from linkage.mechanism import GROUND, Load, Motion, balance, effort_by_work, travel_rate
from linkage.stroke import motion_at
from tests.agreement.engine import GRAVITY, Judge
from tests.agreement.figures import Figure
from tests.agreement.random_gears import SEED, RandomGear, random_gears
from tests.agreement.tree import MM, WORLD, Tree, Weight, joints_of, tree_of, weights

POSES, RATE, ACCEL = 9, 1.3, 0.7
"""Rate of the driven body in rad/s and its change in rad/s2."""
DEAD = 0.05
"""Part of the largest travel rate of the drive below which forces grow towards a dead point and are not compared."""


def figures() -> tuple[Figure, ...]:
    name = f"mujoco {mujoco.__version__}"
    return (
        Figure(name, "positions of every moving pin, on each of its bodies, and of the axle", "m", 1e-12, True),
        Figure(name, "velocities of the same, by its Jacobians", "of the largest", 1e-10, True),
        Figure(name, "acceleration of the axle", "of itself", 1e-10, True),
        Figure(
            name,
            "drive force, at rest and moving, by pin forces and by virtual work",
            "of the largest pin force",
            1e-10,
            True,
        ),
        Figure(name, "pin forces, at rest and moving", "of the largest", 1e-10, True),
        Figure(name, "couples in slides", "N m", 1e-10, True),
    )


def compare(count: int, seed: int = SEED) -> tuple[Figure, ...]:
    found = figures()
    for i, one in enumerate(random_gears(count, seed)):
        for figure in found:
            figure.case(one.base)
        compare_gear(one, np.random.default_rng([seed, i, 1]), found)
    return found


def inertia_loads(motion: Motion, masses: dict[str, Weight], rate: float, accel: float) -> list[Load]:
    """Weight and d'Alembert's forces in N, couples in N mm, of the motion in mm."""
    loads = []
    for body, w in masses.items():
        a = (motion.velocity(body, w.cg) * accel + motion.acceleration(body, w.cg) * rate**2) * MM
        spin = motion.spin(body) * accel + motion.spin_rate(body) * rate**2
        loads.append(Load(body, w.cg, -w.kg * (1j * GRAVITY + a), -w.inertia * spin / MM))
    return loads


@dataclass(frozen=True)
class Posed:
    """A random gear with masses, as a tree, and its motion at poses of the driven body in rad; ``clear``: which of them
    are away from dead points of the drive."""

    masses: dict[str, Weight]
    tree: Tree
    driven: np.ndarray
    motion: Motion
    clear: np.ndarray


def posed(one: RandomGear, rng: np.random.Generator, poses: int) -> Posed:
    gear, masses = one.gear, weights(one.gear, rng)
    low = max(1.5 * one.stroke.dead_centre, 0.03 * one.stroke.driven_up)
    driven = np.linspace(low, one.stroke.driven_up, poses)
    motion = motion_at(gear, driven)
    drive = np.abs(travel_rate(motion, gear.mechanism, gear.effort_at)[0])
    return Posed(masses, tree_of(gear, masses), driven, motion, drive > DEAD * drive.max())


def compare_gear(one: RandomGear, rng: np.random.Generator, found: tuple[Figure, ...]) -> None:
    gear, at = one.gear, posed(one, rng, POSES)
    tree, motion, judge = at.tree, at.motion, at.tree.judge()
    sets = {}
    for moving in (0.0, 1.0):
        loads = inertia_loads(motion, at.masses, moving * RATE, moving * ACCEL)
        work = effort_by_work(gear.mechanism, motion, loads, gear.effort_at)[0]
        sets[moving] = balance(gear.mechanism, motion, loads, gear.effort_at), work
    for i, q in enumerate(at.driven):
        judge.close(gear.drive_sense * float(q))
        for moving, (held, work) in sets.items():
            judge.stir(moving * RATE, moving * ACCEL)
            if moving:
                _kinematics(one, tree, motion, i, judge, found)
            if at.clear[i]:
                push, forces, couples = _forces(tree, judge)
                largest = max(abs(f) for f in forces.values())
                for own in (held.effort[0, i], work[i]):
                    found[3].add(abs(own - push) / largest)
                for name, force in forces.items():
                    found[4].add(abs(held.joint[name][0, i] - force) / largest)
                for name, couple in couples.items():
                    found[5].add(abs(held.couple[name][0, i] * MM - couple))


def _kinematics(one: RandomGear, tree: Tree, motion: Motion, i: int, judge: Judge, found: tuple[Figure, ...]) -> None:
    joints = {j.name: j for j in joints_of(one.gear)}
    watched = [("axle", LEG, one.gear.pins["axle"].at)]
    for site, name in [(f"hinge {p.name}", tree.joint_of[p.name]) for p in tree.parts if p.parent != WORLD]:
        watched.append((site, site.removeprefix("hinge "), joints[name].at))
    for ends in tree.loops:
        joint = joints[tree.joint_of[ends[1]]]
        watched += [(end, body, joint.at) for end, body in zip(ends, (joint.a, joint.b), strict=True) if body != GROUND]
    speeds = []
    for site, body, at in watched:
        found[0].add(abs(motion.point(body, at)[0, i] * MM - judge.site(site)))
        speeds.append((motion.velocity(body, at)[0, i] * MM * RATE, judge.velocity(site)))
    largest = max(abs(v) for _, v in speeds)
    for own, other in speeds:
        found[1].add(abs(own - other) / largest)
    axle = one.gear.pins["axle"].at
    own = (motion.velocity(LEG, axle) * ACCEL + motion.acceleration(LEG, axle) * RATE**2)[0, i] * MM
    found[2].add(abs(own - judge.acceleration("axle")) / abs(own))


def _forces(tree: Tree, judge: Judge) -> tuple[float, dict[str, complex], dict[str, float]]:
    """As the gear has them: by the name of the joint, of its body a on its body b."""
    push, closing, hinges = judge.hold()
    forces, couples = {}, {}
    for name, force in (closing | hinges).items():
        joint = tree.joint_of[name]
        forces[joint] = -force if joint in tree.flipped else force
    for part in tree.parts:
        if part.along is not None:
            couple, joint = judge.couple(part.name), tree.joint_of[part.name]
            couples[joint] = couple
            assert joint not in tree.flipped
    return push, forces, couples
