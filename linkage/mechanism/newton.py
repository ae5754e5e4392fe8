"""Loop equations of all joints, their Jacobian, and Newton on them: for groups without a closed form, as the second road
to the others, and as the matrix of the pin forces (`linkage.mechanism.statics`).

Unknowns of a body: x, y of its anchor and its angle. A pin gives two equations (both bodies carry the point), a slide
two (no relative turn, no sideways shift). ``tests/agreement/test_jacobian.py`` derives the same Jacobian symbolically.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.mechanism.groups import State
from linkage.mechanism.model import GROUND, Complexes, Floats, Joint, Pin, column
from linkage.mechanism.plan import Plan
from linkage.plane.spans import Span
from linkage.plane.vectors import cross

STEPS = 40
CLOSED = 1e-11
"""Newton ends when no equation is open by more than this (length units, or radians)."""


def residual(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """How far each equation is open: shape (designs, poses, 2 x joints)."""
    rows: list[Any] = []
    for j in joints:
        z = column(j.at)
        gap = state.at(j.b, z) - state.at(j.a, z)
        if isinstance(j, Pin):
            rows += [gap.real, gap.imag]
        else:
            rows += [cross(state.turn(j.a), state.turn(j.b)), cross(_axis(state, j), gap)]
    return np.stack([np.broadcast_to(r, shape) for r in rows], axis=-1)


def jacobian(state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int]) -> Floats:
    """Derivative of `residual` by (x, y, angle) of every body: (designs, poses, 2 x joints, 3 x bodies)."""
    out = np.zeros((*shape, 2 * len(joints), 3 * len(bodies)))
    for row, j in enumerate(joints):
        for body, sign in ((j.b, 1.0), (j.a, -1.0)):
            if body in bodies:
                col = 3 * bodies.index(body)
                block = _pin_block(state, j, body) if isinstance(j, Pin) else _slide_block(state, j, body)
                for (i, k), value in block.items():
                    out[..., 2 * row + i, col + k] = sign * value
    return out


def _pin_block(state: State, j: Joint, body: str) -> dict[tuple[int, int], Any]:
    swing = 1j * state.arm(body, column(j.at))
    return {(0, 0): 1.0, (1, 1): 1.0, (0, 2): swing.real, (1, 2): swing.imag}


def _slide_block(state: State, j: Joint, body: str) -> dict[tuple[int, int], Any]:
    axis, z = _axis(state, j), column(j.at)
    swing = 1j * state.arm(body, z)
    tilt = cross(axis, swing)
    if body == j.a:  # the axis turns with this body, which also moves the foot of the gap
        gap = state.at(j.b, z) - state.at(j.a, z)
        tilt = tilt - cross(1j * axis, gap)
    level = (state.turn(j.a).conjugate() * state.turn(j.b)).real
    return {(0, 2): level, (1, 0): -axis.imag, (1, 1): axis.real, (1, 2): tilt}


def _axis(state: State, j: Any) -> Any:
    along = column(j.along)
    return state.turn(j.a) * (along / np.abs(along))


def close(state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int]) -> Floats:
    """Newton from the poses in ``state`` (changed in place) for ``bodies``; returns what stays open, NaN where lost."""
    open_by = np.full(shape, np.inf)
    for _ in range(STEPS):
        rest = residual(state, joints, shape)
        open_by = np.max(np.abs(rest), axis=-1)
        if not np.any(open_by > CLOSED):
            break
        step = _solve(jacobian(state, joints, bodies, shape), -rest)
        for i, body in enumerate(bodies):
            at, turn = state.pose[body]
            at = at + step[..., 3 * i] + 1j * step[..., 3 * i + 1]
            state.pose[body] = (at, turn * np.exp(1j * step[..., 3 * i + 2]))
    return np.where(open_by <= 1e3 * CLOSED, open_by, np.nan)


def place_loose(plan: Plan, state: State, q: Any, order: int) -> None:
    """Place the bodies without a closed form together: march along the poses, each from the one before."""
    if isinstance(q, Span):
        raise ValueError(f"no enclosure for bodies without a closed form: {', '.join(plan.loose)}")
    joints = [j for j in plan.mechanism.joints if {j.a, j.b} & set(plan.loose)]
    known = [b for b in state.pose if b not in plan.loose]
    state.anchors.update({b: column(0j) for b in plan.loose})
    designs, poses = np.broadcast_shapes(q.shape, *(np.shape(state.pose[b][1]) for b in known))
    start = {b: np.ones((designs, 1), dtype=np.complex128) for b in plan.loose}
    found = {b: (np.empty((designs, poses), complex), np.empty((designs, poses), complex)) for b in plan.loose}
    guess: dict[str, tuple[Any, Any]] = {b: (0 * start[b], start[b]) for b in plan.loose}
    left = np.empty((designs, poses))
    for i in np.argsort(np.abs(q[0]), kind="stable"):  # outward from the drawn position
        column_state = State(state.anchors, {b: _pose_at(state.pose[b], int(i)) for b in known} | guess)
        left[:, i : i + 1] = close(column_state, joints, plan.loose, (designs, 1))
        for b in plan.loose:
            guess[b] = column_state.pose[b]
            found[b][0][:, i : i + 1], found[b][1][:, i : i + 1] = guess[b]
    state.pose.update(found)
    state.margins["loose: " + ", ".join(plan.loose)] = np.where(np.isnan(left), -np.inf, np.inf)
    if order >= 1:
        _rates(state, joints, plan.loose, (designs, poses), order)


def _pose_at(pose: tuple[Any, Any], i: int) -> tuple[Any, Any]:
    wide = [np.atleast_2d(p) for p in pose]
    return wide[0][:, i : i + 1] if wide[0].shape[1] > 1 else wide[0], (
        wide[1][:, i : i + 1] if wide[1].shape[1] > 1 else wide[1]
    )


def _rates(state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int], order: int) -> None:
    """First and second coefficients of the loose bodies: the same Jacobian, other right-hand sides."""
    matrix = jacobian(state, joints, bodies, shape)
    for body in bodies:
        state.rate[body], state.accel[body] = (0j, 0.0), (0j, 0.0)
    first = _solve(matrix, -_joint_rates(state, joints, shape))
    for i, body in enumerate(bodies):
        state.rate[body] = (first[..., 3 * i] + 1j * first[..., 3 * i + 1], first[..., 3 * i + 2])
    if order >= 2:
        second = _solve(matrix, -_joint_accels(state, joints, shape))
        for i, body in enumerate(bodies):
            state.accel[body] = (second[..., 3 * i] + 1j * second[..., 3 * i + 1], second[..., 3 * i + 2])


def _joint_rates(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """Rate of every equation under the rates in ``state``."""
    rows: list[Any] = []
    for j in joints:
        z = column(j.at)
        gap = state.velocity(j.b, z) - state.velocity(j.a, z)
        if isinstance(j, Pin):
            rows += [gap.real, gap.imag]
        else:
            wa, wb = state.spin(j.a)[0], state.spin(j.b)[0]
            apart = state.at(j.b, z) - state.at(j.a, z)
            rows += [wb - wa, cross(_axis(state, j), gap) + cross(1j * wa * _axis(state, j), apart)]
    return np.stack([np.broadcast_to(r, shape) for r in rows], axis=-1)


def _joint_accels(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """Second rate of every equation under the coefficients in ``state``."""
    rows: list[Any] = []
    for j in joints:
        z = column(j.at)
        gap = state.acceleration(j.b, z) - state.acceleration(j.a, z)
        if isinstance(j, Pin):
            rows += [gap.real, gap.imag]
            continue
        (wa, ea), (_, eb) = state.spin(j.a), state.spin(j.b)
        axis, slip = _axis(state, j), state.velocity(j.b, z) - state.velocity(j.a, z)
        apart = state.at(j.b, z) - state.at(j.a, z)
        turned = cross((1j * ea - wa * wa) * axis, apart) + 2 * cross(1j * wa * axis, slip)
        rows += [eb - ea, cross(axis, gap) + turned]
    return np.stack([np.broadcast_to(r, shape) for r in rows], axis=-1)


def _solve(matrix: Floats, right: Floats) -> Floats:
    """Batched solve; a singular pose gives NaN instead of an exception for all."""
    try:
        return np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0])
    except np.linalg.LinAlgError:
        bad = np.abs(np.linalg.det(matrix)) < 1e-300
        patched = np.where(bad[..., None, None], np.eye(matrix.shape[-1]), matrix)
        return np.asarray(np.where(bad[..., None], np.nan, np.linalg.solve(patched, right[..., None])[..., 0]))


def body_states(pose: dict[str, tuple[Complexes, Complexes]], anchors: dict[str, Complexes]) -> State:
    """A state that holds only poses, for Newton from a guess."""
    return State({GROUND: column(0j), **anchors}, dict(pose))
