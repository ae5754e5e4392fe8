"""Loop equations of all joints, their Jacobian, and Newton on them: for groups without a closed form, as the second
road to the others, and as the matrix of the pin forces (`linkage.mechanism.statics`).

Unknowns of a body: x, y of its anchor and its angle. A pin gives two equations (both bodies carry the point), a slide
two (no relative turn, no sideways shift). ``tests/agreement/test_jacobian.py`` derives the same Jacobian symbolically.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from linkage.mechanism.groups import State
from linkage.mechanism.model import Floats, Joint, Pin, Slide, column
from linkage.plane.spans import unit
from linkage.plane.vectors import cross

STEPS = 40
CLOSED = 1e-14
"""Newton ends when no equation is open by more than this: rad, or parts of the size of the mechanism. About fifty
roundings."""
ACCEPTED = 1e3 * CLOSED
"""What may stay open where rounding is worse, close to a pose in which the equations are singular."""

Entry = tuple[int, int, Any]
"""Row, column, and value over (designs, poses)."""


def residual(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """How far each equation is open: shape (designs, poses, 2 x joints)."""
    rows: list[Any] = []
    for j in joints:
        if isinstance(j, Pin):
            gap = apart(state, j)
            rows += [gap.real, gap.imag]
        else:
            rows += [cross(state.turn(j.a), state.turn(j.b)), cross(axis_of(state, j), apart(state, j))]
    return _stacked(rows, shape)


def jacobian(state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int]) -> Floats:
    """Derivative of `residual` by (x, y, angle) of every body: (designs, poses, 2 x joints, 3 x bodies)."""
    out = np.zeros((*shape, 2 * len(joints), 3 * len(bodies)))
    for row, col, value in entries(state, joints, bodies):
        out[..., row, col] = value
    return out


def entries(state: State, joints: Sequence[Joint], bodies: Sequence[str]) -> list[Entry]:
    """The places of `jacobian` that are not zero: a joint knows two bodies, so most of it is."""
    out: list[Entry] = []
    for i, j in enumerate(joints):
        for body, sign in ((j.b, 1.0), (j.a, -1.0)):
            if body in bodies:
                block = _pin_block(state, j, body) if isinstance(j, Pin) else _slide_block(state, j, body)
                out += [(2 * i + row, 3 * bodies.index(body) + col, sign * value) for row, col, value in block]
    return out


def _pin_block(state: State, j: Pin, body: str) -> list[Entry]:
    swing = 1j * state.arm(body, column(j.at))
    return [(0, 0, 1.0), (1, 1, 1.0), (0, 2, swing.real), (1, 2, swing.imag)]


def _slide_block(state: State, j: Slide, body: str) -> list[Entry]:
    axis = axis_of(state, j)
    tilt = cross(axis, 1j * state.arm(body, column(j.at)))
    if body == j.a:  # the axis turns with this body, which also moves the foot of the gap
        tilt = tilt - cross(1j * axis, apart(state, j))
    level = (state.turn(j.a).conjugate() * state.turn(j.b)).real
    return [(0, 2, level), (1, 0, -axis.imag), (1, 1, axis.real), (1, 2, tilt)]


def axis_of(state: State, j: Slide) -> Any:
    """Unit vector of a slide as it points now."""
    return state.direction(j.a, column(j.along))


def apart(state: State, j: Joint) -> Any:
    """From the joint's point on a to its point on b."""
    z = column(j.at)
    return state.at(j.b, z) - state.at(j.a, z)


def close(
    state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int], steps: int = STEPS
) -> Floats:
    """At most ``steps`` of Newton from the poses in ``state`` (changed in place) for ``bodies``.

    Returns what stays open in units of the size of the mechanism, shape (designs, poses), NaN where no pose was found.
    """
    size = max(float(np.max(np.abs(column(j.at)))) for j in joints) or 1.0
    scale = np.concatenate([[size, size] if isinstance(j, Pin) else [1.0, size] for j in joints])
    with np.errstate(over="ignore", invalid="ignore"):  # a pose that runs away must not stop the others
        rest = residual(state, joints, shape)
        for _ in range(steps):
            if not np.any(np.abs(rest) > CLOSED * scale):
                break
            step = solve_each(jacobian(state, joints, bodies, shape), -rest[..., None])[..., 0]
            for i, body in enumerate(bodies):
                at, turn = state.pose[body]
                at = at + step[..., 3 * i] + 1j * step[..., 3 * i + 1]
                state.pose[body] = (at, turn * unit(step[..., 3 * i + 2]))
            rest = residual(state, joints, shape)
        open_by = np.max(np.abs(rest) / scale, axis=-1)
        return np.where(open_by <= ACCEPTED, open_by, np.nan)


def coefficients(
    state: State, joints: Sequence[Joint], bodies: Sequence[str], shape: tuple[int, int], order: int
) -> None:
    """Add first and second coefficients of the loose ``bodies`` to ``state``: one Jacobian, other right-hand sides."""
    matrix = jacobian(state, joints, bodies, shape)
    for table, right in ((state.rate, _joint_rates), (state.accel, _joint_accels))[:order]:
        table.update(dict.fromkeys(bodies, (0j, 0.0)))
        found = solve_each(matrix, -right(state, joints, shape)[..., None])[..., 0]
        for i, body in enumerate(bodies):
            table[body] = (found[..., 3 * i] + 1j * found[..., 3 * i + 1], found[..., 3 * i + 2])


def _joint_rates(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """Rate of every equation under the rates in ``state``."""
    rows: list[Any] = []
    for j in joints:
        slip = state.velocity(j.b, column(j.at)) - state.velocity(j.a, column(j.at))
        if isinstance(j, Pin):
            rows += [slip.real, slip.imag]
        else:
            wa, wb, axis = state.spin(j.a), state.spin(j.b), axis_of(state, j)
            rows += [wb - wa, cross(axis, slip) + cross(1j * wa * axis, apart(state, j))]
    return _stacked(rows, shape)


def _joint_accels(state: State, joints: Sequence[Joint], shape: tuple[int, int]) -> Floats:
    """Second rate of every equation under the coefficients in ``state``."""
    rows: list[Any] = []
    for j in joints:
        z = column(j.at)
        gap = state.acceleration(j.b, z) - state.acceleration(j.a, z)
        if isinstance(j, Pin):
            rows += [gap.real, gap.imag]
            continue
        wa, ea, eb = state.spin(j.a), state.spin_rate(j.a), state.spin_rate(j.b)
        axis, slip = axis_of(state, j), state.velocity(j.b, z) - state.velocity(j.a, z)
        turned = cross((1j * ea - wa * wa) * axis, apart(state, j)) + 2 * cross(1j * wa * axis, slip)
        rows += [eb - ea, cross(axis, gap) + turned]
    return _stacked(rows, shape)


def _stacked(rows: Sequence[Any], shape: tuple[int, int]) -> Floats:
    out = np.empty((*shape, len(rows)))
    for i, row in enumerate(rows):
        out[..., i] = row
    return out


def solve_each(matrix: Floats, right: Floats) -> Floats:
    """Batched solve, right-hand sides (..., size, count); a singular pose gives NaN instead of an exception for all."""
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        with np.errstate(invalid="ignore"):
            bad = ~(np.abs(np.linalg.slogdet(matrix)[0]) > 0)[..., None, None]
        patched = np.where(bad, np.eye(matrix.shape[-1]), matrix)
        return np.where(bad, np.nan, np.linalg.solve(patched, right))
