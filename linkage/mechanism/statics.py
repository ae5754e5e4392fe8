"""Forces that keep a pose in balance: one linear solve per pose for all pins and the drive together.

The loop equations g(x) = 0 of the joints (see `linkage.mechanism.newton`) do no work, so their multipliers are the joint
forces: J^T f + load = 0. One more row, the travel of the driving joint, carries the effort that holds the mechanism.
Virtual work (`effort_by_work`) reaches the same effort without any pin force.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.model import GROUND, Complexes, Floats, Mechanism, Pin, column
from linkage.mechanism.motion import Motion
from linkage.plane.vectors import cross, dot


@dataclass(frozen=True)
class Load:
    """A force (complex, shape broadcastable to (designs, poses)) on the point drawn at ``at`` of ``body``, and a couple."""

    body: str
    at: complex | Complexes
    force: Any
    couple: Any = 0.0


@dataclass(frozen=True)
class Balance:
    """``joint[name]``: force that body ``a`` exerts on body ``b`` (complex, at the pin; square to the slide for a slide);
    ``couple[name]``: couple that ``a`` exerts on ``b`` (slides only); ``effort``: force along (slide) or torque at (pin) the
    driving joint, positive when it pushes the travel of that joint up. Arrays (designs, poses)."""

    joint: dict[str, Complexes]
    couple: dict[str, Floats]
    effort: Floats


def balance(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], effort_at: str) -> Balance:
    """Joint forces and the effort at joint ``effort_at`` that hold every pose against the loads."""
    state, bodies, joints = motion.state, mechanism.bodies, mechanism.joints
    shape = motion.margin.shape
    square = np.concatenate(
        [newton.jacobian(state, joints, bodies, shape), _travel_row(motion, mechanism, effort_at)], axis=-2
    )
    solved = newton._solve(np.swapaxes(square, -1, -2), -_generalised(motion, bodies, loads))
    joint: dict[str, Complexes] = {}
    couple: dict[str, Floats] = {}
    for i, j in enumerate(joints):
        first, second = solved[..., 2 * i], solved[..., 2 * i + 1]
        if isinstance(j, Pin):
            joint[j.name] = first + 1j * second
        else:
            joint[j.name] = 1j * newton._axis(state, j) * second
            couple[j.name] = first
    return Balance(joint, couple, solved[..., -1])


def effort_by_work(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], effort_at: str) -> Floats:
    """The same effort by virtual work: what the loads do per unit of travel of the driving joint, with reversed sign."""
    power: Any = 0.0
    for load in loads:
        power = power + dot(motion.velocity(load.body, load.at), load.force) + motion.spin(load.body) * load.couple
    return np.asarray(-power / travel_rate(motion, mechanism, effort_at))


def travel_rate(motion: Motion, mechanism: Mechanism, name: str) -> Floats:
    """Travel of a joint per unit of the mechanism's coordinate."""
    j = mechanism.joint(name)
    if isinstance(j, Pin):
        return motion.spin(j.b) - motion.spin(j.a)
    z, axis = column(j.at), newton._axis(motion.state, j)
    apart = motion.point(j.b, z) - motion.point(j.a, z)
    slip = motion.velocity(j.b, z) - motion.velocity(j.a, z)
    return np.asarray(dot(axis, slip) + dot(1j * motion.spin(j.a) * axis, apart))


def _travel_row(motion: Motion, mechanism: Mechanism, name: str) -> Floats:
    """Derivative of the joint's travel by (x, y, angle) of every body: (designs, poses, 1, 3 x bodies)."""
    state, bodies, j = motion.state, mechanism.bodies, mechanism.joint(name)
    row = np.zeros((*motion.margin.shape, 1, 3 * len(bodies)))
    for body, sign in ((j.b, 1.0), (j.a, -1.0)):
        if body == GROUND:
            continue
        col = 3 * bodies.index(body)
        if isinstance(j, Pin):
            row[..., 0, col + 2] = sign
            continue
        z, axis = column(j.at), newton._axis(state, j)
        tilt = dot(axis, 1j * state.arm(body, z))
        if body == j.a:
            tilt = tilt - dot(1j * axis, state.at(j.b, z) - state.at(j.a, z))
        for k, value in enumerate((axis.real, axis.imag, tilt)):
            row[..., 0, col + k] = sign * value
    return row


def _generalised(motion: Motion, bodies: Sequence[str], loads: Sequence[Load]) -> Floats:
    """Loads as force on the anchor and moment about it, per body: (designs, poses, 3 x bodies)."""
    out = np.zeros((*motion.margin.shape, 3 * len(bodies)))
    for load in loads:
        if load.body == GROUND:
            continue
        col = 3 * bodies.index(load.body)
        force = np.asarray(load.force, dtype=np.complex128)
        arm = motion.state.arm(load.body, column(load.at))
        out[..., col] += force.real
        out[..., col + 1] += force.imag
        out[..., col + 2] += cross(arm, force) + load.couple
    return out


def reactions(mechanism: Mechanism, result: Balance) -> Mapping[str, Complexes]:
    """Force on the ground at each of its joints: minus what the ground exerts on the first moving body."""
    out: dict[str, Complexes] = {}
    for j in mechanism.joints:
        if GROUND in (j.a, j.b):
            out[j.name] = -result.joint[j.name] if j.a == GROUND else result.joint[j.name]
    return out
