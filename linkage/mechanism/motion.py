"""Place every body of a mechanism over arrays of (designs x poses), with exact first and second coefficients."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.groups import State
from linkage.mechanism.model import GROUND, Complexes, Floats, column
from linkage.mechanism.plan import Plan

CHUNK = 16_384
"""Rows worked on at a time: small enough for the cache, large enough to hide the interpreter."""


@dataclass(frozen=True)
class Motion:
    """A mechanism at every driven value ``q``. All arrays are (designs, poses); bodies are keyed by name.

    ``margin`` is the least distance, over the groups, by which the links can still close (negative: they cannot, and
    the bodies are NaN there); ``tightest`` names the group. Coefficients are derivatives by q.
    """

    q: Floats
    state: State
    margin: Floats
    tightest: tuple[str, ...]

    def point(self, body: str, z: complex | Complexes) -> Complexes:
        """Where the point drawn at z on the body lies, shape (designs, poses)."""
        return self._full(self.state.at(body, column(z)))

    def velocity(self, body: str, z: complex | Complexes) -> Complexes:
        return self._full(self.state.velocity(body, column(z)))

    def acceleration(self, body: str, z: complex | Complexes) -> Complexes:
        return self._full(self.state.acceleration(body, column(z)))

    def turn(self, body: str) -> Complexes:
        """Unit complex number by which the body has turned from its drawn position."""
        return self._full(self.state.turn(body))

    def angle(self, body: str) -> Floats:
        """Rotation from the drawn position in radians, followed through full turns along the poses."""
        return np.unwrap(np.angle(self.turn(body)), axis=-1)

    def spin(self, body: str) -> Floats:
        """First coefficient of the body's angle."""
        return np.asarray(self._full(self.state.spin(body)[0]).real)

    def spin_rate(self, body: str) -> Floats:
        """Second coefficient of the body's angle."""
        return np.asarray(self._full(self.state.spin(body)[1]).real)

    def _full(self, value: object) -> Complexes:
        return np.broadcast_to(np.asarray(value, dtype=np.complex128), np.broadcast_shapes(np.shape(value), self.q.shape))


def solve(plan: Plan, q: Floats | float, order: int = 2) -> Motion:
    """Place the mechanism at ``q`` of shape (poses,) or (designs, poses); ``order`` 0, 1 or 2 coefficients."""
    drive = np.atleast_2d(np.asarray(q, dtype=np.float64))
    state = assemble(plan, drive, order)
    margins = {name: np.broadcast_to(m, _shape(plan, drive)) for name, m in state.margins.items()}
    if not margins:
        return Motion(drive, state, np.full(_shape(plan, drive), np.inf), ())
    margin = np.min(np.stack(list(margins.values())), axis=0)
    worst = {name: float(np.min(m)) for name, m in margins.items()}
    return Motion(drive, state, margin, tuple(sorted(worst, key=lambda n: worst[n])))


def assemble(plan: Plan, q: object, order: int) -> State:
    """Run the groups in order. ``q`` is an array, or a span of driven values (see `linkage.mechanism.enclosure`)."""
    state = State({GROUND: column(0j)})
    for group in plan.groups:
        state.anchors.update(group.anchors())
        group.place(state, q)
        if order >= 1:
            group.first(state)
        if order >= 2:
            group.second(state)
    if plan.loose:
        newton.place_loose(plan, state, q, order)
    return state


def trace(plan: Plan, q: Floats, points: Sequence[tuple[str, complex | Complexes]]) -> Complexes:
    """Positions alone of some points (body, drawn place), chunked for speed: shape (points, designs, poses)."""
    drive = np.atleast_2d(np.asarray(q, dtype=np.float64))
    drawn = [(body, column(z)) for body, z in points]
    designs, poses = _shape(plan, drive)
    out = np.empty((len(points), designs, poses), dtype=np.complex128)
    for part in _chunks(poses, max(1, CHUNK // designs)):
        state = assemble(plan, drive[:, part], order=0)
        for row, (body, z) in enumerate(drawn):
            out[row, :, part] = state.at(body, z)
    return out


def _chunks(poses: int, size: int) -> Iterator[slice]:
    for start in range(0, poses, size):
        yield slice(start, min(start + size, poses))


def _shape(plan: Plan, drive: Floats) -> tuple[int, int]:
    designs = max([drive.shape[0], *(a.shape[0] for g in plan.groups for a in g.anchors().values())])
    return designs, drive.shape[1]
