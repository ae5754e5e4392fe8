"""Forces that keep a pose in balance: one linear solve per pose for all pins and the drive together.

The loop equations g(x) = 0 of the joints (see `linkage.mechanism.newton`) do no work, so their multipliers are the
joint forces: J^T f + load = 0. One more row, the travel of the driving joint, carries the effort that holds the
mechanism. Virtual work (`effort_by_work`) reaches the same effort without any pin force.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.groups import State
from linkage.mechanism.model import GROUND, Complexes, Drawn, Floats, Mechanism, Pin, Slide, column
from linkage.mechanism.motion import Motion, chunks
from linkage.plane.vectors import cross, dot

SYSTEMS = 128
"""Poses solved at a time, so that their matrices stay in the cache."""


@dataclass(frozen=True)
class Load:
    """A force (complex, broadcastable to (designs, poses)) on the point drawn at ``at`` of ``body``, and a couple."""

    body: str
    at: Drawn
    force: Any
    couple: Any = 0.0


@dataclass(frozen=True)
class Balance:
    """What holds every pose; arrays (designs, poses).

    ``joint[name]``: force that body ``a`` exerts on body ``b``, at the pin, or square to the slide at its point on b;
    ``couple[name]``: couple that ``a`` exerts on ``b`` (slides only); ``effort``: force along (slide) or torque at
    (pin) the driving joint ``effort_at``, positive when it pushes the travel of that joint up; ``thrust``: the force
    on ``b`` that this effort is, zero where it is a torque.
    """

    joint: dict[str, Complexes]
    couple: dict[str, Floats]
    effort: Floats
    effort_at: str
    thrust: Complexes


def balance(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], effort_at: str) -> Balance:
    """Joint forces and the effort at joint ``effort_at`` that hold every pose against the loads.

    NaN where the mechanism does not close. They grow without bound towards a dead point of that joint: do not read them
    there (see `linkage.mechanism.dead`).
    """
    state, drive = motion.state, mechanism.joint(effort_at)
    solved = multipliers(mechanism, motion, [loads], effort_at)[0]
    effort = solved[..., -1]
    thrust = newton.axis_of(state, drive) * effort if isinstance(drive, Slide) else 0j * effort
    return Balance(
        joint={j.name: force_at(state, j, solved, i) for i, j in enumerate(mechanism.joints)},
        couple={j.name: solved[..., 2 * i] for i, j in enumerate(mechanism.joints) if isinstance(j, Slide)},
        effort=effort,
        effort_at=effort_at,
        thrust=np.asarray(thrust, dtype=np.complex128),
    )


def multipliers(mechanism: Mechanism, motion: Motion, sets: Sequence[Sequence[Load]], effort_at: str) -> Floats:
    """What holds every pose against each set of loads alone: two numbers for each joint in turn, and the effort last.

    One factorisation a pose serves all sets. Shape (sets, designs, poses, 3 x bodies).
    """
    idle = _idle(mechanism, {load.body for loads in sets for load in loads}, effort_at)
    joints = [j for j in mechanism.joints if not idle & {j.a, j.b}]
    bodies = [b for b in mechanism.bodies if b not in idle]
    shape, size = motion.margin.shape, 3 * len(bodies)
    matrix = newton.entries(motion.state, joints, bodies)
    matrix += [(2 * len(joints), *place) for place in travel_row(motion.state, bodies, mechanism.joint(effort_at))]
    matrix = [(row, col, np.broadcast_to(value, shape)) for row, col, value in matrix]
    right = np.stack([-_generalised(motion, bodies, loads) for loads in sets], axis=-1)
    out = np.zeros((*shape, 3 * len(mechanism.bodies), len(sets)))
    rows = [2 * i + k for i, j in enumerate(mechanism.joints) if not idle & {j.a, j.b} for k in (0, 1)] + [-1]
    width = max(1, SYSTEMS // shape[0])
    square = np.zeros((shape[0], min(width, shape[1]), size, size))  # the same places are filled for every part
    for part in chunks(shape[1], width):
        here = square[:, : part.stop - part.start]
        for row, col, value in matrix:
            here[..., col, row] = value[:, part]
        out[:, part, rows] = newton.solve_each(here, right[:, part])
    for body in idle:
        out[np.broadcast_to(np.isnan(motion.state.turn(body)), shape)] = np.nan
    return np.moveaxis(out, -1, 0)


def _idle(mechanism: Mechanism, loaded: Collection[str], effort_at: str) -> set[str]:
    """Pairs of bodies on which nothing acts and nothing else hangs: two links cannot carry a force from one end to the
    other unless they are in line, so that no force goes through their three joints."""
    idle: set[str] = set()
    joints = list(mechanism.joints)
    for inner in mechanism.joints:
        pair = {inner.a, inner.b}
        around = [j for j in joints if pair & {j.a, j.b}]
        own = GROUND in pair or pair & set(loaded) or effort_at in (j.name for j in around)
        if not own and len(around) == 3 and all(sum(b in (j.a, j.b) for j in around) == 2 for b in pair):
            idle |= pair
            joints = [j for j in joints if not pair & {j.a, j.b}]
    return idle


def force_at(state: State, j: Pin | Slide, solved: Floats, i: int) -> Complexes:
    """Force that body a of the i-th joint exerts on body b, from `multipliers` (..., 3 x bodies)."""
    first, second = solved[..., 2 * i], solved[..., 2 * i + 1]
    if isinstance(j, Pin):
        return first + 1j * second
    return np.asarray(1j * newton.axis_of(state, j) * second)


def effort_by_work(mechanism: Mechanism, motion: Motion, loads: Sequence[Load], effort_at: str) -> Floats:
    """The same effort by virtual work: minus what the loads do per unit of travel of the driving joint."""
    power: Any = np.zeros(motion.margin.shape)
    for load in loads:
        power = power + dot(motion.velocity(load.body, load.at), np.asarray(load.force))
        power = power + motion.spin(load.body) * load.couple
    return np.asarray(-power / travel_rate(motion, mechanism, effort_at))


def travel_rate(motion: Motion, mechanism: Mechanism, name: str) -> Floats:
    """Travel of a joint per unit of the mechanism's coordinate: (designs, poses)."""
    return np.array(np.broadcast_to(joint_rate(motion.state, mechanism.joint(name)), motion.margin.shape))


def joint_rate(state: State, j: Pin | Slide) -> Any:
    """`travel_rate` of bodies just placed, as it comes: it broadcasts to (designs, poses)."""
    if isinstance(j, Pin):
        return np.real(state.spin(j.b) - state.spin(j.a))
    # the axis turns too, but the two points lie along it, and so their distance on it does not feel that
    slip = state.velocity(j.b, column(j.at)) - state.velocity(j.a, column(j.at))
    return dot(newton.axis_of(state, j), slip)


def travel_row(state: State, bodies: Sequence[str], j: Pin | Slide) -> list[tuple[int, Any]]:
    """Derivative of the joint's travel by (x, y, angle) of every body: column and value where it is not zero."""
    out: list[tuple[int, Any]] = []
    for body, sign in ((j.b, 1.0), (j.a, -1.0)):
        if body == GROUND:
            continue
        col = 3 * bodies.index(body)
        if isinstance(j, Pin):
            out.append((col + 2, sign))
            continue
        axis = newton.axis_of(state, j)
        tilt = dot(axis, 1j * state.arm(body, column(j.at)))
        out += [(col + k, sign * value) for k, value in enumerate((axis.real, axis.imag, tilt))]
    return out


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
    """Force on the ground at each of its joints, with the effort where the ground takes it."""
    out: dict[str, Complexes] = {}
    for j in mechanism.joints:
        if GROUND in (j.a, j.b):
            on_b = result.joint[j.name] + (result.thrust if j.name == result.effort_at else 0.0)
            out[j.name] = -on_b if j.a == GROUND else on_b
    return out
