"""Closed forms for the driven body and the two-link groups: place, first and second coefficients.

A `Pose` maps each body to ``(R, u)``: the point drawn at z lies at ``R + u*(z - z0)``, where z0 is the body's anchor. A
`Rate` maps it to ``(V, w)``: dR/dq and the angle's dw/dq; an `Accel` to their derivatives ``(A, e)``. Values are arrays of
(designs, poses) or boxes, see `linkage.plane.spans`. The relations are the loop equations of the group, differentiated
once and twice, and projected on the directions that remove one unknown.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from linkage.mechanism.model import GROUND, Complexes
from linkage.plane.spans import Box, Span, root, unit_arc
from linkage.plane.vectors import cross, dot, square

Table = dict[str, tuple[Any, Any]]


@dataclass
class State:
    """What is known so far of every body, filled group by group. ``margins``: how far each group is from opening."""

    anchors: dict[str, Complexes]
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

    def spin(self, body: str) -> tuple[Any, Any]:
        """First and second coefficient of the body's angle."""
        return (0.0, 0.0) if body == GROUND else (self.rate[body][1], self.accel.get(body, (0, 0.0))[1])


@dataclass(frozen=True)
class Driven:
    """The driven body: turned about a ground pin by q, or moved along a ground slide by q (``along`` of length one)."""

    name: str
    body: str
    at: Complexes
    along: Complexes | None

    def anchors(self) -> dict[str, Complexes]:
        return {self.body: self.at}

    def place(self, s: State, q: Any) -> None:
        if self.along is None:
            turn = unit_arc(q.lo, q.hi) if isinstance(q, Span) else np.exp(1j * q)
            s.pose[self.body] = (self.at + 0 * turn, turn)
        else:
            s.pose[self.body] = (self.at + self.along * q, 1.0 + 0j * q)

    def first(self, s: State) -> None:
        nought = 0 * s.pose[self.body][0]
        s.rate[self.body] = (nought, 1.0) if self.along is None else (nought + self.along, 0.0)

    def second(self, s: State) -> None:
        s.accel[self.body] = (0 * s.pose[self.body][0], 0.0)


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

    def place(self, s: State, q: Any) -> None:
        a, b = s.at(self.at_a, self.a), s.at(self.at_b, self.b)
        r1, r2 = np.abs(self.c - self.a), np.abs(self.c - self.b)
        side = np.where(cross(self.b - self.a, self.c - self.a) >= 0, 1.0, -1.0)
        d = b - a
        dd = square(d)
        along = 0.5 + (0.5 * (r1 - r2) * (r1 + r2)) / dd  # foot of c on the line a-b, as a fraction of d
        rest = (r1 * r1) / dd - along * along
        arm = d * along + d * root(rest) * (1j * side)
        s.pose[self.one] = (a, arm * (1.0 / (self.c - self.a)))
        s.pose[self.two] = (b, (arm - d) * (1.0 / (self.c - self.b)))
        if not isinstance(d, Box):
            reach = np.sqrt(dd)
            s.margins[self.name] = np.minimum(r1 + r2 - reach, reach - np.abs(r1 - r2))

    def first(self, s: State) -> None:
        va, vb = s.velocity(self.at_a, self.a), s.velocity(self.at_b, self.b)
        w1, w2 = self._spins(s, vb - va)
        s.rate[self.one], s.rate[self.two] = (va, w1), (vb, w2)

    def second(self, s: State) -> None:
        aa, ab = s.acceleration(self.at_a, self.a), s.acceleration(self.at_b, self.b)
        w1, w2 = s.rate[self.one][1], s.rate[self.two][1]
        e1, e2 = self._spins(s, ab - aa + self._arm1(s) * (w1 * w1) - self._arm2(s) * (w2 * w2))
        s.accel[self.one], s.accel[self.two] = (aa, e1), (ab, e2)

    def _arm1(self, s: State) -> Any:
        return s.arm(self.one, self.c)

    def _arm2(self, s: State) -> Any:
        return s.arm(self.two, self.c)

    def _spins(self, s: State, gap: Any) -> tuple[Any, Any]:
        """Solve i*w1*arm1 - i*w2*arm2 = gap: dotted with the other arm, one unknown drops out each time."""
        arm1, arm2 = self._arm1(s), self._arm2(s)
        area = cross(arm1, arm2)
        return dot(gap, arm2) / area, dot(gap, arm1) / area


@dataclass(frozen=True)
class Telescope:
    """A pair that slides on itself: ``one`` pinned at ``a`` on ``at_a``, ``two`` at ``b`` on ``at_b``, sliding ``along``."""

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

    def _drawn(self) -> tuple[Any, Any]:
        """Unit direction from a to b as seen along the slide, and the constant sideways offset."""
        span = self.b - self.a
        e = self.along / np.abs(self.along) * np.where(dot(span, self.along) >= 0, 1.0, -1.0)
        return e, cross(e, span)

    def place(self, s: State, q: Any) -> None:
        a, b = s.at(self.at_a, self.a), s.at(self.at_b, self.b)
        e, offset = self._drawn()
        d = b - a
        dd = square(d)
        length = root(dd - offset * offset)
        # u * e * (length + i*offset) = d, and |d|^2 = length^2 + offset^2
        turn = d * (length - 1j * offset) / dd * e.conjugate()
        s.pose[self.one], s.pose[self.two] = (a, turn), (b, turn)
        if not isinstance(d, Box):
            s.margins[self.name] = np.sqrt(dd) - np.abs(offset)

    def first(self, s: State) -> None:
        va, vb = s.velocity(self.at_a, self.a), s.velocity(self.at_b, self.b)
        axis, length, _ = self._now(s)
        w = ((vb - va) * axis.conjugate()).imag / length
        s.rate[self.one], s.rate[self.two] = (va, w), (vb, w)

    def second(self, s: State) -> None:
        aa, ab = s.acceleration(self.at_a, self.a), s.acceleration(self.at_b, self.b)
        axis, length, offset = self._now(s)
        w = s.rate[self.one][1]
        grow = ((s.rate[self.two][0] - s.rate[self.one][0]) * axis.conjugate()).real + w * offset
        e = (((ab - aa) * axis.conjugate()).imag + w * w * offset - 2.0 * (w * grow)) / length
        s.accel[self.one], s.accel[self.two] = (aa, e), (ab, e)

    def _now(self, s: State) -> tuple[Any, Any, Any]:
        e, offset = self._drawn()
        axis = s.turn(self.one) * e
        d = s.pose[self.two][0] - s.pose[self.one][0]
        return axis, dot(axis, d), offset


@dataclass(frozen=True)
class Slider:
    """A link with a slider: ``link`` pinned at ``a`` on ``at_a`` and at ``c`` on ``slider``, which slides on ``rail``."""

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

    def place(self, s: State, q: Any) -> None:
        a, foot = s.at(self.at_a, self.a), s.at(self.rail, self.c)
        g = self._axis(s)
        length = np.abs(self.c - self.a)
        side = np.where(dot(self.c - self.a, self.along) >= 0, 1.0, -1.0)
        rel = (a - foot) * g.conjugate()
        travel = rel.real + side * root(length * length - rel.imag * rel.imag)
        c = foot + g * travel
        s.pose[self.link] = (a, (c - a) * (1.0 / (self.c - self.a)))
        s.pose[self.slider] = (c, s.turn(self.rail) * (1.0 + 0 * travel))
        if not isinstance(c, Box):
            s.margins[self.name] = length - np.abs(rel.imag)

    def first(self, s: State) -> None:
        va = s.velocity(self.at_a, self.a)
        vc = self._carried(s, s.velocity(self.rail, self.c), s.spin(self.rail)[0], 0.0)
        w, glide = self._solve(s, vc - va)
        s.rate[self.link] = (va, w)
        s.rate[self.slider] = (vc + self._axis(s) * glide, s.spin(self.rail)[0])

    def second(self, s: State) -> None:
        wr, er = s.spin(self.rail)
        w, arm, g = s.rate[self.link][1], s.arm(self.link, self.c), self._axis(s)
        carried = self._carried(s, s.velocity(self.rail, self.c), wr, 0.0)
        glide = dot(s.rate[self.slider][0] - carried, g)
        ac = self._carried(s, s.acceleration(self.rail, self.c), er, wr) + g * (2j * (wr * glide))
        aa = s.acceleration(self.at_a, self.a)
        e, surge = self._solve(s, ac - aa + arm * (w * w))
        s.accel[self.link] = (aa, e)
        s.accel[self.slider] = (ac + g * surge, er)

    def _axis(self, s: State) -> Any:
        return s.turn(self.rail) * (self.along / np.abs(self.along))

    def _carried(self, s: State, of_foot: Any, spin: Any, w: Any) -> Any:
        """Motion of the rail's own point that lies under the slider now."""
        travel = s.pose[self.slider][0] - s.at(self.rail, self.c)
        return of_foot + travel * (1j * spin - w * w)

    def _solve(self, s: State, gap: Any) -> tuple[Any, Any]:
        """Solve i*w*arm - glide*g = gap."""
        g, arm = self._axis(s), s.arm(self.link, self.c)
        lever = dot(g, arm)
        return cross(g, gap) / lever, -dot(gap, arm) / lever


Group = Driven | TwoLinks | Telescope | Slider
