"""Place every body of a mechanism over arrays of (designs x poses), with exact first and second coefficients."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism.groups import Driven, State, place_groups
from linkage.mechanism.model import Complexes, Drawn, Floats, column
from linkage.mechanism.plan import Plan, needed

CHUNK = 16_384
"""Rows worked on at a time: small enough for the cache, large enough to hide the interpreter."""


@dataclass(frozen=True)
class Motion:
    """A mechanism at every driven value ``q``. Arrays are (designs, poses); bodies are keyed by name.

    ``margin`` is the least distance, over the groups, by which the links can still close. Where a group's is negative
    it cannot, and its bodies and all that hang on them are NaN; `linkage.mechanism.march` knows no distance and says
    plus or minus infinity. ``tightest`` names the groups, that with the least margin first. Coefficients are
    derivatives by q.
    """

    q: Floats
    state: State
    margin: Floats
    tightest: tuple[str, ...]

    def point(self, body: str, z: Drawn) -> Complexes:
        """Where the point drawn at z on the body lies."""
        return self._full(self.state.at(body, column(z)))

    def velocity(self, body: str, z: Drawn) -> Complexes:
        return self._full(self.state.velocity(body, column(z)))

    def acceleration(self, body: str, z: Drawn) -> Complexes:
        return self._full(self.state.acceleration(body, column(z)))

    def turn(self, body: str) -> Complexes:
        """Unit complex number by which the body has turned from its drawn position."""
        return self._full(self.state.turn(body))

    def angle(self, body: str) -> Floats:
        """Rotation from the drawn position in radians, between -pi and pi at the pose with the least travel ``q`` and
        followed through full turns along the poses from there; poses that do not close are passed over."""
        raw = np.angle(self.turn(body))
        open_here = np.isnan(raw)
        last = np.maximum.accumulate(np.where(open_here, 0, np.arange(raw.shape[-1])), axis=-1)
        whole = np.unwrap(np.nan_to_num(np.take_along_axis(raw, last, axis=-1)), axis=-1)
        home = np.argmin(np.where(open_here, np.inf, np.abs(self.q)), axis=-1)[:, None]
        return np.where(open_here, np.nan, whole - np.take_along_axis(whole - raw, home, axis=-1))

    def spin(self, body: str) -> Floats:
        """First coefficient of the body's angle."""
        return np.asarray(self._full(self.state.spin(body)).real)

    def spin_rate(self, body: str) -> Floats:
        """Second coefficient of the body's angle."""
        return np.asarray(self._full(self.state.spin_rate(body)).real)

    def _full(self, value: Any) -> Complexes:
        full = np.asarray(value, dtype=np.complex128)
        if full.shape == self.margin.shape:
            return full
        return np.broadcast_to(full, np.broadcast_shapes(full.shape, self.margin.shape))


@np.errstate(invalid="ignore")  # a design that cannot be drawn is NaN
def solve(plan: Plan, q: Floats | float, order: int = 2) -> Motion:
    """Place the mechanism at ``q`` of shape (poses,) or (designs, poses); ``order`` 0, 1 or 2 coefficients."""
    drive = np.atleast_2d(np.asarray(q, dtype=np.float64))
    state = assemble(plan, drive, order)
    shape = np.broadcast_shapes(drive.shape, (plan.mechanism.designs, 1))
    for group in plan.groups:
        if not isinstance(group, Driven):
            state.margins[group.name] = np.broadcast_to(group.margin(state), shape)
    # a group that hangs on an open one has NaN for a margin, which says nothing
    least = {name: np.fmin.reduce(margin, axis=None, initial=np.inf) for name, margin in state.margins.items()}
    margin = np.fmin.reduce([np.full(shape, np.inf), *state.margins.values()])
    return Motion(drive, state, margin, tuple(sorted(least, key=lambda name: float(least[name]))))


def assemble(plan: Plan, q: Any, order: int) -> State:
    """All bodies of the plan. ``q`` is an array, or a span of driven values (see `linkage.mechanism.enclosure`)."""
    state = place_groups(plan.groups, q, order)
    if plan.loose:
        from linkage.mechanism import march

        march.place_loose(plan, state, q, order)
    return state


def trace(plan: Plan, q: Floats, points: Sequence[tuple[str, Drawn]]) -> Complexes:
    """Positions alone of some points (body, drawn place), chunked for speed: shape (points, designs, poses)."""
    return tracer(plan, points)(q)


def tracer(plan: Plan, points: Sequence[tuple[str, Drawn]]) -> Callable[[Floats], Complexes]:
    """`trace` as a function of ``q`` alone, for those who ask for the same points many times."""
    drawn = [(body, column(z)) for body, z in points]
    part, designs = needed(plan, [body for body, _ in points]), max((len(z) for _, z in drawn), default=1)
    most = (max(designs, plan.mechanism.designs), 1)
    rows = {body: [i for i, (other, _) in enumerate(drawn) if other == body] for body, _ in drawn}
    spread = [z if len(z) == designs else np.broadcast_to(z, (designs, 1)) for _, z in drawn]
    places = {body: np.stack([spread[i] for i in here]) for body, here in rows.items()}

    @np.errstate(invalid="ignore")
    def traced(q: Floats) -> Complexes:
        drive = np.atleast_2d(np.asarray(q, dtype=np.float64))
        shape = np.broadcast_shapes(drive.shape, most)
        out = np.empty((len(drawn), *shape), dtype=np.complex128)
        for here in chunks(shape[1], max(1, CHUNK // shape[0])):
            state = assemble(part, drive[:, here], order=0)
            for body, z in places.items():
                out[rows[body], :, here] = state.at(body, z)
        return out

    return traced


def chunks(poses: int, size: int) -> Iterator[slice]:
    """Slices of at most ``size`` that cover all poses."""
    return (slice(start, min(start + size, poses)) for start in range(0, poses, size))
