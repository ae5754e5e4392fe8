"""Closed forms for the driven body and the two-link groups: place, first and second coefficients.

`State` holds for each body: in ``pose`` the pair ``(R, u)``, so that the point drawn at z lies at ``R + u*(z - z0)``
with z0 the body's anchor; in ``rate`` the pair ``(V, w)``, dR/dq and d(angle)/dq; in ``accel`` their derivatives
``(A, e)``. Values are arrays that broadcast to (designs, poses), or boxes and spans, see `linkage.plane.spans`. The
relations are the loop equations of the group, differentiated once and twice, and projected on the directions that
remove one unknown.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from linkage.mechanism.model import GROUND, Complexes
from linkage.plane.spans import point, root, unit
from linkage.plane.vectors import cross, dot, square

Table = dict[str, tuple[Any, Any]]


@dataclass
class State:
    """What is known so far of every body, filled group by group. ``margins``: how far each group is from opening."""

    anchors: dict[str, Complexes] = field(default_factory=dict)
    pose: Table = field(default_factory=dict)
    rate: Table = field(default_factory=dict)
    accel: Table = field(default_factory=dict)
    margins: dict[str, Any] = field(default_factory=dict)

    def arm(self, body: str, z: Complexes) -> Any:
        """From the anchor to the point drawn at z, as it lies now."""
        return self.pose[body][1] * (z - self.anchors[body])

    def at(self, body: str, z: Complexes) -> Any:
        return z if body == GROUND else self.pose[body][0] + self.arm(body, z)

    def velocity(self, body: str, z: Complexes) -> Any:
        if body == GROUND:
            return 0j * z
        v, w = self.rate[body]
        return v + self.arm(body, z) * (1j * w)

    def acceleration(self, body: str, z: Complexes) -> Any:
        if body == GROUND:
            return 0j * z
        (a, e), w = self.accel[body], self.rate[body][1]
        return a + self.arm(body, z) * (1j * e - w * w)

    def turn(self, body: str) -> Any:
        return 1.0 + 0j if body == GROUND else self.pose[body][1]

    def direction(self, body: str, along: Complexes) -> Any:
        """Unit vector in the direction drawn ``along`` on the body, as it points now."""
        return self.turn(body) * (along / np.abs(along))

    def spin(self, body: str) -> Any:
        """First coefficient of the body's angle."""
        return 0.0 if body == GROUND else self.rate[body][1]

    def spin_rate(self, body: str) -> Any:
        """Second coefficient of the body's angle."""
        return 0.0 if body == GROUND else self.accel[body][1]


@dataclass(frozen=True)
class Driven:
    """The driven body: turned about a ground pin by q, or moved along a ground slide by q (``along`` of length one)."""

    name: str
    body: str
    at: Complexes
    along: Complexes | None

    def anchors(self) -> dict[str, Complexes]:
        return {self.body: self.at}

    def hosts(self) -> tuple[str, ...]:
        return (GROUND,)

    def place(self, s: State, q: Any) -> None:
        s.pose[self.body] = (self.at, unit(q)) if self.along is None else (self.at + self.along * q, 1.0 + 0j)

    def first(self, s: State) -> None:
        s.rate[self.body] = (0 * self.at, 1.0) if self.along is None else (self.along, 0.0)

    def second(self, s: State) -> None:
        s.accel[self.body] = (0 * self.at, 0.0)


@dataclass(frozen=True)
class TwoLinks:
    """Two links, three pins: ``one`` hangs at ``a`` on ``at_a``, ``two`` at ``b`` on ``at_b``, both meet at ``c``."""

    name: str
    one: str
    two: str
    at_a: str
    at_b: str
    a: Complexes
    b: Complexes
    c: Complexes

    def anchors(self) -> dict[str, Complexes]:
        return {self.one: self.a, self.two: self.b}

    def hosts(self) -> tuple[str, ...]:
        return self.at_a, self.at_b

    def place(self, s: State, q: Any) -> None:
        a, b = s.at(self.at_a, self.a), s.at(self.at_b, self.b)
        r1, r2, side, back1, back2 = self._drawn
        d = b - a
        per = 1.0 / square(d)
        along = 0.5 + (0.5 * (r1 - r2) * (r1 + r2)) * per  # foot of c on the line a-b, as a fraction of d
        arm = d * point(along, root((r1 * r1) * per - along * along) * side)
        s.pose[self.one], s.pose[self.two] = (a, arm * back1), (b, (arm - d) * back2)

    def margin(self, s: State) -> Any:
        """How much longer or shorter the line a-b may become before the links cannot span it."""
        r1, r2 = self._drawn[:2]
        reach = np.abs(s.at(self.at_b, self.b) - s.at(self.at_a, self.a))
        return np.minimum(r1 + r2 - reach, reach - np.abs(r1 - r2))

    def first(self, s: State) -> None:
        va, vb = s.velocity(self.at_a, self.a), s.velocity(self.at_b, self.b)
        w1, w2 = self._spins(s, vb - va)
        s.rate[self.one], s.rate[self.two] = (va, w1), (vb, w2)

    def second(self, s: State) -> None:
        aa, ab = s.acceleration(self.at_a, self.a), s.acceleration(self.at_b, self.b)
        w1, w2 = s.rate[self.one][1], s.rate[self.two][1]
        arm1, arm2 = self._arms(s)
        e1, e2 = self._spins(s, ab - aa + arm1 * (w1 * w1) - arm2 * (w2 * w2))
        s.accel[self.one], s.accel[self.two] = (aa, e1), (ab, e2)

    @cached_property
    def _drawn(self) -> tuple[Any, ...]:
        """Lengths of both links, side of the line a-b on which they meet, and the inverses of both arms."""
        arm1, arm2 = self.c - self.a, self.c - self.b
        side = np.where(cross(self.b - self.a, arm1) >= 0, 1.0, -1.0)
        return np.abs(arm1), np.abs(arm2), side, 1.0 / arm1, 1.0 / arm2

    def _arms(self, s: State) -> tuple[Any, Any]:
        return s.arm(self.one, self.c), s.arm(self.two, self.c)

    def _spins(self, s: State, gap: Any) -> tuple[Any, Any]:
        """Solve i*w1*arm1 - i*w2*arm2 = gap: dotted with the other arm, one unknown drops out each time."""
        arm1, arm2 = self._arms(s)
        area = cross(arm1, arm2)
        return dot(gap, arm2) / area, dot(gap, arm1) / area


@dataclass(frozen=True)
class Telescope:
    """A pair that slides on itself ``along``: ``one`` pinned at ``a`` on ``at_a``, ``two`` at ``b`` on ``at_b``."""

    name: str
    one: str
    two: str
    at_a: str
    at_b: str
    a: Complexes
    b: Complexes
    along: Complexes

    def anchors(self) -> dict[str, Complexes]:
        return {self.one: self.a, self.two: self.b}

    def hosts(self) -> tuple[str, ...]:
        return self.at_a, self.at_b

    @cached_property
    def _drawn(self) -> tuple[Any, Any]:
        """Unit direction from a to b as seen along the slide, and the constant sideways offset."""
        span = self.b - self.a
        e = self.along / np.abs(self.along) * np.where(dot(span, self.along) >= 0, 1.0, -1.0)
        return e, cross(e, span)

    def place(self, s: State, q: Any) -> None:
        a, b = s.at(self.at_a, self.a), s.at(self.at_b, self.b)
        e, offset = self._drawn
        d = b - a
        dd = square(d)
        per = 1.0 / dd
        # u * e * (length + i*offset) = d, and |d|^2 = length^2 + offset^2
        turn = d * point(root(dd - offset * offset) * per, -offset * per) * e.conjugate()
        s.pose[self.one], s.pose[self.two] = (a, turn), (b, turn)

    def margin(self, s: State) -> Any:
        """How much further apart the pins are than the least they can be, the sideways offset."""
        return np.abs(s.at(self.at_b, self.b) - s.at(self.at_a, self.a)) - np.abs(self._drawn[1])

    def first(self, s: State) -> None:
        va, vb = s.velocity(self.at_a, self.a), s.velocity(self.at_b, self.b)
        axis, length, _ = self._now(s)
        w = cross(axis, vb - va) / length
        s.rate[self.one], s.rate[self.two] = (va, w), (vb, w)

    def second(self, s: State) -> None:
        aa, ab = s.acceleration(self.at_a, self.a), s.acceleration(self.at_b, self.b)
        axis, length, offset = self._now(s)
        w = s.rate[self.one][1]
        grow = dot(axis, s.rate[self.two][0] - s.rate[self.one][0]) + w * offset
        e = (cross(axis, ab - aa) + w * w * offset - 2.0 * (w * grow)) / length
        s.accel[self.one], s.accel[self.two] = (aa, e), (ab, e)

    def _now(self, s: State) -> tuple[Any, Any, Any]:
        """Axis of the slide, distance of b from a along it, and sideways."""
        e, offset = self._drawn
        axis = s.turn(self.one) * e
        return axis, dot(axis, s.pose[self.two][0] - s.pose[self.one][0]), offset


@dataclass(frozen=True)
class Slider:
    """``link`` is pinned at ``a`` on ``at_a`` and at ``c`` on ``slider``, which slides ``along`` on ``rail``."""

    name: str
    link: str
    slider: str
    at_a: str
    rail: str
    a: Complexes
    c: Complexes
    along: Complexes

    def anchors(self) -> dict[str, Complexes]:
        return {self.link: self.a, self.slider: self.c}

    def hosts(self) -> tuple[str, ...]:
        return self.at_a, self.rail

    def place(self, s: State, q: Any) -> None:
        a, foot, g = s.at(self.at_a, self.a), s.at(self.rail, self.c), s.direction(self.rail, self.along)
        length, side, back = self._drawn
        ahead, aside = dot(g, a - foot), cross(g, a - foot)
        c = foot + g * (ahead + root(length * length - aside * aside) * side)
        s.pose[self.link] = (a, (c - a) * back)
        s.pose[self.slider] = (c, s.turn(self.rail))

    def margin(self, s: State) -> Any:
        """How much further the link's pin may move away from the path of the other."""
        a, foot = s.at(self.at_a, self.a), s.at(self.rail, self.c)
        aside = cross(s.direction(self.rail, self.along), a - foot)
        return self._drawn[0] - np.abs(aside)

    def first(self, s: State) -> None:
        va = s.velocity(self.at_a, self.a)
        vc = self._carried(s)
        w, glide = self._rates(s, vc - va)
        s.rate[self.link] = (va, w)
        s.rate[self.slider] = (vc + s.direction(self.rail, self.along) * glide, s.spin(self.rail))

    def second(self, s: State) -> None:
        wr, er, g = s.spin(self.rail), s.spin_rate(self.rail), s.direction(self.rail, self.along)
        w, arm = s.rate[self.link][1], s.arm(self.link, self.c)
        glide = dot(s.rate[self.slider][0] - self._carried(s), g)
        ac = s.acceleration(self.rail, self.c) + self._travel(s) * (1j * er - wr * wr) + g * (2j * (wr * glide))
        aa = s.acceleration(self.at_a, self.a)
        e, surge = self._rates(s, ac - aa + arm * (w * w))
        s.accel[self.link] = (aa, e)
        s.accel[self.slider] = (ac + g * surge, er)

    @cached_property
    def _drawn(self) -> tuple[Any, Any, Any]:
        """Length of the link, whether the slider lies ahead of it or behind, and the inverse of its arm."""
        arm = self.c - self.a
        return np.abs(arm), np.where(dot(arm, self.along) >= 0, 1.0, -1.0), 1.0 / arm

    def _travel(self, s: State) -> Any:
        """From the rail's point drawn at c to the slider."""
        return s.pose[self.slider][0] - s.at(self.rail, self.c)

    def _carried(self, s: State) -> Any:
        """Velocity of the rail's own point that lies under the slider now."""
        return s.velocity(self.rail, self.c) + self._travel(s) * (1j * s.spin(self.rail))

    def _rates(self, s: State, gap: Any) -> tuple[Any, Any]:
        """Solve i*w*arm - glide*g = gap."""
        g, arm = s.direction(self.rail, self.along), s.arm(self.link, self.c)
        lever = dot(g, arm)
        return cross(g, gap) / lever, -dot(gap, arm) / lever


Group = Driven | TwoLinks | Telescope | Slider


def place_groups(groups: Iterable[Group], q: Any, order: int) -> State:
    """Run the groups in order. ``q`` is an array, or a span of driven values (see `linkage.mechanism.enclosure`)."""
    state = State()
    for group in groups:
        state.anchors.update(group.anchors())
        group.place(state, q)
        if order >= 1:
            group.first(state)
        if order >= 2:
            group.second(state)
    return state
