"""Place the bodies that have no closed form: Newton, led along the branch on which the mechanism is drawn.

Newton alone finds some assembly of the bodies, not the drawn one. So they are followed from the drawn position in steps
that turn no body by more than `STRIDE`. A step is taken back and halved if Newton does not close, if it ends away from
where the rates point, or if the determinant of the Jacobian has changed its sign, which only another branch can do. The
poses asked for start from the place before them on that trail, so they do not depend on one another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.groups import State, place_groups
from linkage.mechanism.model import Complexes, Floats, Joint, column
from linkage.mechanism.plan import Plan
from linkage.plane.spans import Span, unit

STRIDE = 0.1
"""rad; the rates foretell a turn of this size to about a tenth of it."""
SHORTEST = 1e-10
"""Step of the driven value, absolute up to 1 and relative above, below which the bodies have come to a stop."""
STEPS = 8
"""Of Newton: from so near, it needs about four."""


@dataclass(frozen=True)
class _Trail:
    """Places on the branch, by driven value. Arrays (designs, places, bodies), ``q`` (designs, places)."""

    q: Floats
    at: Complexes
    turn: Complexes
    glide: Complexes
    spin: Floats
    side: Floats
    """Sign of the determinant of the Jacobian, (designs, places)."""

    def ahead(self, q: Floats) -> tuple[Complexes, Complexes]:
        """Where the rates say that the bodies lie at ``q``."""
        step = (q - self.q)[..., None]
        return self.at + self.glide * step, self.turn * unit(self.spin * step)

    def fields(self) -> tuple[Any, ...]:
        return self.q, self.at, self.turn, self.glide, self.spin, self.side

    def before(self, q: Floats) -> Any:
        """The last place on the way from the drawn position to each ``q`` (designs, poses)."""
        rows = list(zip(self.q, q, strict=True))
        up = np.stack([np.searchsorted(places, row, side="right") - 1 for places, row in rows])
        down = np.stack([np.searchsorted(places, row, side="left") for places, row in rows])
        return np.where(q >= 0, up, down)

    def pick(self, places: Any) -> _Trail:
        """The trail at places (designs, poses)."""
        rows = np.arange(len(self.q))[:, None]
        return _Trail(*(f[rows, places] for f in self.fields()))


def place_loose(plan: Plan, state: State, q: Any, order: int) -> None:
    """Add the loose bodies of the plan to ``state``, in which all others are placed at ``q``. NaN where they jam."""
    if isinstance(q, Span):
        raise ValueError(f"no enclosure for bodies without a closed form: {', '.join(plan.loose)}")
    shape = (plan.mechanism.designs, q.shape[1])
    q = np.broadcast_to(q, shape)
    trail = _both_ways(plan, q)
    found, same = _follow(plan, trail.pick(trail.before(q)), q)
    lost = ~same | (q < trail.q[:, :1]) | (q > trail.q[:, -1:])
    state.anchors.update(_anchors(plan))
    for i, body in enumerate(plan.loose):
        state.pose[body] = (np.where(lost, np.nan, found.at[..., i]), np.where(lost, np.nan, found.turn[..., i]))
    state.margins["loose: " + ", ".join(plan.loose)] = np.where(lost, -np.inf, np.inf)
    if order >= 1:
        newton.coefficients(state, _joints(plan), plan.loose, shape, order)


def _both_ways(plan: Plan, q: Floats) -> _Trail:
    """From the drawn position as far down and up as ``q`` asks, in rising order."""
    down = _march(plan, np.minimum(np.min(q, axis=1, keepdims=True), 0.0))[::-1]
    up = _march(plan, np.maximum(np.max(q, axis=1, keepdims=True), 0.0))
    return _Trail(*(np.concatenate(f, axis=1) for f in zip(*(t.fields() for t in down + up), strict=True)))


def _march(plan: Plan, goal: Floats) -> list[_Trail]:
    """Single places from the drawn position to ``goal`` (designs, 1), or to where the bodies jam."""
    at = np.stack([z + 0 * goal for z in _anchors(plan).values()], axis=-1)
    here, _ = _settle(plan, np.zeros_like(goal), at, np.ones_like(at))
    trail, step = [here], np.minimum(_stride(here), np.abs(goal))
    while np.any(going := (here.q != goal) & (step > SHORTEST * np.maximum(1.0, np.abs(here.q)))):
        rest = goal - here.q
        ahead = np.where(np.abs(rest) <= step, goal, here.q + np.copysign(step, rest))
        there, same = _follow(plan, here, np.where(going, ahead, here.q))
        here = _Trail(*(_choose(going & same, f, g) for f, g in zip(there.fields(), here.fields(), strict=True)))
        step = np.where(going, np.where(same, np.minimum(2 * step, _stride(here)), 0.5 * step), step)
        trail.append(here)
    return trail


def _follow(plan: Plan, trail: _Trail, q: Floats) -> tuple[_Trail, Any]:
    """Places at ``q``, each from its own place on the trail; and whether they lie on the same branch."""
    at, turn = trail.ahead(q)
    found, open_by = _settle(plan, q, at, turn)
    strays = np.max(np.abs(np.angle(found.turn * turn.conjugate())), axis=-1)
    return found, ~np.isnan(open_by) & (found.side == trail.side) & (strays <= 0.5 * STRIDE)


def _settle(plan: Plan, q: Floats, at: Complexes, turn: Complexes) -> tuple[_Trail, Floats]:
    """Newton from a guess at ``q``; and how far the joints stay open."""
    state = place_groups(plan.groups, q, order=1)
    state.anchors.update(_anchors(plan))
    state.pose.update({body: (at[..., i], turn[..., i]) for i, body in enumerate(plan.loose)})
    open_by = newton.close(state, _joints(plan), plan.loose, q.shape, STEPS)
    with np.errstate(over="ignore", invalid="ignore"):
        newton.coefficients(state, _joints(plan), plan.loose, q.shape, order=1)
        side = np.linalg.slogdet(newton.jacobian(state, _joints(plan), plan.loose, q.shape))[0]
    pose, rate = ([table[body] for body in plan.loose] for table in (state.pose, state.rate))
    at, turn, glide, spin = (np.stack([row[k] for row in rows], axis=-1) for rows in (pose, rate) for k in (0, 1))
    return _Trail(q, at, turn, glide, spin, side), open_by


def _stride(trail: _Trail) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(STRIDE / np.max(np.abs(trail.spin), axis=-1))


def _choose(good: Any, new: Any, old: Any) -> Any:
    return np.where(good if new.ndim == 2 else good[..., None], new, old)


def _joints(plan: Plan) -> Sequence[Joint]:
    return [j for j in plan.mechanism.joints if {j.a, j.b} & set(plan.loose)]


def _anchors(plan: Plan) -> dict[str, Complexes]:
    """A loose body is anchored at the first joint that it has."""
    return {b: column(next(j.at for j in plan.mechanism.joints if b in (j.a, j.b))) for b in plan.loose}
