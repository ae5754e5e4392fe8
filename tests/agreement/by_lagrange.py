"""Random gears in motion against Lagrange's equations with multipliers, derived symbolically from the tree of bodies.

The engine is given the pose, the rates and our drive force; it returns the accelerations of all bodies and, as the
multipliers of the loops, the forces of the pins that close them.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import sympy as sp
from sympy.physics import mechanics as me

from linkage.mechanism import Motion, balance
from tests.agreement.by_physics import ACCEL, RATE, inertia_loads, posed
from tests.agreement.engine import GRAVITY
from tests.agreement.figures import Figure
from tests.agreement.random_gears import SEED, RandomGear, random_gears
from tests.agreement.tree import MM, WORLD, Tree

POSES = 7
KINDS = ("sliding root", "leg", "telescoping", "bell-crank", "lower link", "actuator in the brace")

Equations = Callable[..., tuple[np.ndarray, np.ndarray]]
Vector = sp.Matrix


def figures() -> tuple[Figure, ...]:
    name = f"sympy.physics.mechanics {sp.__version__}"
    return (
        Figure(name, "accelerations of all bodies under our drive force", "of the largest", 1e-9, True),
        Figure(name, "forces of the pins that close the loops, in motion", "of the largest pin force", 1e-9, True),
    )


def compare(count: int, seed: int = SEED) -> tuple[Figure, ...]:
    found = figures()
    for i, one in enumerate(random_gears(count, seed + 1, KINDS)):
        for figure in found:
            figure.case(one.base)
        _gear(one, np.random.default_rng([seed, i, 2]), found)
    return found


def _turned(angle: sp.Expr, v: Vector) -> Vector:
    c, s = sp.cos(angle), sp.sin(angle)
    return sp.Matrix([c * v[0] - s * v[1], s * v[0] + c * v[1]])


class Bodies:
    """Angle and hinge of every body as functions of one coordinate a part: the whole angle of a part that turns, the
    travel of one that slides. Numbers are symbols until the equations are made, which is quicker."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self.numbers: dict[sp.Symbol, float] = {}
        self.coordinates = me.dynamicsymbols(f"q0:{len(tree.parts)}")
        self.drawn: dict[str, complex] = {WORLD: 0j}
        self.angle: dict[str, sp.Expr] = {WORLD: sp.Integer(0)}
        self.hinge: dict[str, Vector] = {WORLD: sp.zeros(2, 1)}
        for part, q in zip(tree.parts, self.coordinates, strict=True):
            at = self.place(part.parent, part.hinge)
            slides = part.along is not None
            self.angle[part.name] = self.angle[part.parent] if slides else q
            if part.along is not None:
                at = at + q * _turned(self.angle[part.parent], self.plane(part.along / abs(part.along)))
            self.hinge[part.name], self.drawn[part.name] = at, part.hinge

    def number(self, value: float) -> sp.Symbol:
        made = sp.Symbol(f"c{len(self.numbers)}", real=True)
        self.numbers[made] = value
        return made

    def plane(self, z: complex) -> Vector:
        return sp.Matrix([self.number(z.real), self.number(z.imag)])

    def place(self, body: str, z: complex) -> Vector:
        if z == self.drawn[body]:
            return self.hinge[body]
        return self.hinge[body] + _turned(self.angle[body], self.plane(z - self.drawn[body]))

    def site(self, name: str) -> Vector:
        found = next(s for s in self.tree.sites if s.name == name)
        return self.place(found.body, found.at)


def equations(tree: Tree) -> Equations:
    """(coordinates, rates, drive force) -> matrix and right side for (rates, accelerations, multipliers)."""
    bodies, t = Bodies(tree), me.dynamicsymbols._t
    push, frame = sp.Symbol("push"), me.ReferenceFrame("N")
    lagrangian = sp.Integer(0)
    for part in tree.parts:
        place = bodies.place(part.name, part.cg)
        speed = place.diff(t)
        mass, inertia = bodies.number(part.mass), bodies.number(part.inertia)
        lagrangian += mass * (speed.dot(speed) / 2 - bodies.number(GRAVITY) * place[1])
        lagrangian += inertia * bodies.angle[part.name].diff(t) ** 2 / 2
    root, end = (bodies.site(name) for name in tree.drive)
    lagrangian += push * sp.sqrt((end - root).dot(end - root))  # a constant push does the work push x change of length
    gaps = [bodies.site(b) - bodies.site(a) for a, b in tree.loops]
    method = me.LagrangesMethod(
        lagrangian, list(bodies.coordinates), hol_coneqs=[g[k] for g in gaps for k in (0, 1)], frame=frame
    )
    method.form_lagranges_equations()
    arguments = [*bodies.numbers, *bodies.coordinates, *(q.diff(t) for q in bodies.coordinates), push]
    made = sp.lambdify(arguments, [method.mass_matrix_full, method.forcing_full], "numpy", cse=True)
    return partial(made, *bodies.numbers.values())


def _coordinates(one: RandomGear, tree: Tree, motion: Motion, i: int) -> tuple[list[float], list[float], list[float]]:
    """Values, rates and accelerations of the tree's coordinates in our motion, sliding ones in metres."""
    values: list[float] = []
    firsts: list[float] = []
    seconds: list[float] = []
    for part in tree.parts:
        if part.along is None:
            values.append(float(motion.angle(part.name)[0, i]))
            firsts.append(float(motion.spin(part.name)[0, i]))
            seconds.append(float(motion.spin_rate(part.name)[0, i]))
            continue
        joint = one.gear.mechanism.joint(tree.joint_of[part.name])
        at = complex(joint.at)  # type: ignore[arg-type]
        turn = complex(motion.turn(joint.a)[0, i]) if part.parent != WORLD else 1.0
        axis = part.along / abs(part.along) * turn
        spin = float(motion.spin(joint.a)[0, i]) if part.parent != WORLD else 0.0
        gap, slip, surge = (
            complex((f(joint.b, at) - f(joint.a, at))[0, i]) * MM
            for f in (motion.point, motion.velocity, motion.acceleration)
        )
        travel = (gap * axis.conjugate()).real
        values.append(travel)
        firsts.append((slip * axis.conjugate()).real)
        seconds.append((surge * axis.conjugate()).real + travel * spin**2)  # radial part of the acceleration
    return values, firsts, seconds


def _gear(one: RandomGear, rng: np.random.Generator, found: tuple[Figure, ...]) -> None:
    gear, at = one.gear, posed(one, rng, POSES)
    tree, motion = at.tree, at.motion
    made = equations(tree)
    held = balance(gear.mechanism, motion, inertia_loads(motion, at.masses, RATE, ACCEL), gear.effort_at)
    for i in np.flatnonzero(at.clear):
        values, firsts, seconds = _coordinates(one, tree, motion, i)
        matrix, right = made(*values, *(RATE * r for r in firsts), float(held.effort[0, i]))
        solved = np.linalg.solve(np.asarray(matrix, dtype=float), np.asarray(right, dtype=float).ravel())
        n = len(tree.parts)
        wanted = np.array(firsts) * ACCEL + np.array(seconds) * RATE**2
        found[0].add(float(np.max(np.abs(solved[n : 2 * n] - wanted)) / np.max(np.abs(wanted))), n)
        largest = max(abs(f[0, i]) for f in held.joint.values())
        for k, (_, b) in enumerate(tree.loops):
            force = complex(*solved[2 * n + 2 * k : 2 * n + 2 * k + 2])
            found[1].add(abs(force - held.joint[tree.joint_of[b]][0, i]) / largest)
