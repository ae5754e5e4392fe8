"""How poses and coefficients change with the drawing: the loop equations differentiated, one factorisation a pose.

g(x, p) = 0 are the loop equations of `linkage.mechanism.newton` with the travel of the driven joint as one more, x the
bodies' places and angles, p a drawn coordinate. Then G x_p = -g_p with G = dg/dx, and because the coefficients v solve
G v = b, G v_p = b_p - (dG/dp) v along the way: the same matrix again, so that many drawn coordinates are as many right
sides. Nothing is assembled anew and nothing is differenced.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.groups import State
from linkage.mechanism.model import GROUND, Complexes, Drawn, Floats, Joint, Mechanism, Pin, Slide, column
from linkage.mechanism.motion import Motion
from linkage.mechanism.statics import travel_row
from linkage.plane.vectors import cross, dot

Table = Mapping[str, tuple[Complexes, Floats]]


@dataclass(frozen=True)
class Change:
    """How a joint's drawn point, and a slide's drawn direction, change with each input: (inputs,)."""

    at: Complexes
    along: Complexes | None = None


@dataclass(frozen=True)
class Slopes:
    """Derivatives at fixed driven value, by body: ``pose`` of the anchor's place and of the angle, ``rate`` of their
    first coefficients. Arrays (inputs, designs, poses); the anchors themselves stay where they are drawn."""

    state: State
    inputs: int
    pose: Table
    rate: Table

    def point(self, body: str, z: Drawn, change: Any) -> Complexes:
        """Of the place of the point drawn at z, which itself moves on the drawing by ``change`` (inputs,)."""
        if body == GROUND:
            return _columns(change)
        shift, turned = self.pose[body]
        return np.asarray(shift + self._arm(body, z, turned, _columns(change)))

    def velocity(self, body: str, z: Drawn, change: Any) -> Complexes:
        """Of its first coefficient."""
        if body == GROUND:
            return 0.0 * _columns(change)
        (shift, turned), spin = self.rate[body], self.state.spin(body)
        arm = self._arm(body, z, self.pose[body][1], _columns(change))
        return np.asarray(shift + 1j * (turned * self.state.arm(body, column(z)) + spin * arm))

    def _arm(self, body: str, z: Drawn, turned: Any, change: Any) -> Any:
        return 1j * turned * self.state.arm(body, column(z)) + self.state.turn(body) * change


def slopes(mechanism: Mechanism, motion: Motion, changes: Mapping[str, Change]) -> Slopes:
    """Derivatives of every pose of ``motion`` (which needs its first coefficients) by each input.

    Joints that are not named do not move on the drawing. NaN where the mechanism does not close or stands at a dead
    point of its driven joint.
    """
    inputs = next((len(c.at) for c in changes.values()), 0)
    shape, system = motion.margin.shape, _system(mechanism, motion)
    found = Slopes(motion.state, inputs, {GROUND: (np.zeros(1, complex), np.zeros(1))}, {})
    for order in (0, 1):
        right = np.zeros((*shape, system.shape[-1], inputs))
        for i, j in enumerate(mechanism.joints):
            for k, row in enumerate(_opened(found, j, changes, order)):
                right[..., 2 * i + k, :] = -np.moveaxis(np.broadcast_to(row, (inputs, *shape)), 0, -1)
        driver = mechanism.joint(mechanism.driver)
        if isinstance(driver, Slide):
            travel = _travelled(found, driver, changes, order)
            right[..., -1, :] = -np.moveaxis(np.broadcast_to(travel, (inputs, *shape)), 0, -1)
        table = _table(mechanism, newton.solve_each(system, right))
        known = {**found.pose, **table} if order == 0 else found.pose
        found = Slopes(motion.state, inputs, known, {} if order == 0 else table)
    return found


def _columns(change: Any) -> Complexes:
    return np.asarray(change, dtype=np.complex128).reshape(-1, 1, 1)


def _system(mechanism: Mechanism, motion: Motion) -> Floats:
    """Jacobian of the loop equations, and of the driven travel in its last row: (designs, poses, size, size)."""
    joints, bodies, shape = mechanism.joints, mechanism.bodies, motion.margin.shape
    rows = newton.entries(motion.state, joints, bodies)
    rows += [(2 * len(joints), *place) for place in travel_row(motion.state, bodies, mechanism.joint(mechanism.driver))]
    out = np.zeros((*shape, 3 * len(bodies), 3 * len(bodies)))
    for row, col, value in rows:
        out[..., row, col] = value
    return out


def _table(mechanism: Mechanism, solved: Floats) -> dict[str, tuple[Complexes, Floats]]:
    first = np.moveaxis(solved, -1, 0)
    return {
        body: (first[..., 3 * i] + 1j * first[..., 3 * i + 1], first[..., 3 * i + 2])
        for i, body in enumerate(mechanism.bodies)
    }


def _opened(known: Slopes, j: Joint, changes: Mapping[str, Change], order: int) -> tuple[Any, Any]:
    """By how much the inputs open the joint's two equations (``order`` 0), or those of its coefficients (1), while
    what these equations are solved for is held."""
    state = known.state
    moved = _columns(changes[j.name].at if j.name in changes else np.zeros(known.inputs))
    if order == 0:
        lift = (state.turn(j.b) - state.turn(j.a)) * moved
        if isinstance(j, Pin):
            return lift.real, lift.imag
        axis, tilt, apart = newton.axis_of(state, j), _tilted(known, j, changes, order), newton.apart(state, j)
        return 0.0 * lift.real, cross(tilt, apart) + cross(axis, lift)
    arms = {body: _arm_change(known, body, j, moved) for body in (j.a, j.b)}
    slip = 1j * (state.spin(j.b) * arms[j.b] - state.spin(j.a) * arms[j.a])
    if isinstance(j, Pin):
        return slip.real, slip.imag
    z, spin = column(j.at), state.spin(j.a)
    axis, tilt = newton.axis_of(state, j), _tilted(known, j, changes, order)
    apart = known.pose[j.b][0] + arms[j.b] - known.pose[j.a][0] - arms[j.a]
    drawn = state.velocity(j.b, z) - state.velocity(j.a, z)
    turned = spin * (cross(1j * tilt, newton.apart(state, j)) + cross(1j * axis, apart))
    return 0.0 * slip.real, cross(tilt, drawn) + cross(axis, slip) + turned


def _arm_change(known: Slopes, body: str, j: Joint, moved: Complexes) -> Any:
    """Change of the arm from a body's anchor to the joint; on the ground the arm is the point itself."""
    if body == GROUND:
        return moved
    return 1j * known.pose[body][1] * known.state.arm(body, column(j.at)) + known.state.turn(body) * moved


def _tilted(known: Slopes, j: Slide, changes: Mapping[str, Change], order: int) -> Any:
    """Change of the slide's axis, of order 0 with the pose held."""
    along = changes[j.name].along if j.name in changes else None
    given, drawn = _columns(np.zeros(known.inputs) if along is None else along), column(j.along)
    size = np.abs(drawn)
    out = known.state.turn(j.a) * (1j * drawn / size * cross(drawn, given) / (size * size))
    return out + (1j * known.pose[j.a][1] * newton.axis_of(known.state, j) if order and j.a != GROUND else 0.0)


def _travelled(known: Slopes, driver: Slide, changes: Mapping[str, Change], order: int) -> Any:
    """The driven slide is on the ground and its body does not turn: its travel feels the drawn direction alone."""
    z, tilt = column(driver.at), _tilted(known, driver, changes, order)
    if order == 0:
        return dot(tilt, newton.apart(known.state, driver))
    return dot(tilt, known.state.velocity(driver.b, z))
