"""How a place in the document becomes a point on a body."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from linkage.document.quantities import Place
from linkage.errors import DocumentError, Fault
from linkage.gear.model import BARREL, BRACE, LEG, LOCK_LOWER, LOCK_UPPER, LOWER, ROD, UPPER, BodyPoint
from linkage.plane.vectors import at, plain

LINES = {
    UPPER: ("upper pin", "knee"),
    LOWER: ("knee", "lug"),
    LEG: ("trunnion", "lug"),
    BRACE: ("upper pin", "lug"),
    BARREL: ("upper pin", "lug"),
    ROD: ("upper pin", "lug"),
    LOCK_UPPER: ("lock root", "lock knee"),
    LOCK_LOWER: ("lock knee", "lock pin"),
}
"""The pins between which a body's own line runs, its airframe end first."""


@dataclass(frozen=True)
class Frame:
    """The pins placed so far, and the axes of the leg."""

    pins: dict[str, BodyPoint]
    down: complex
    aft: complex
    joints: dict[str, set[str]] = field(default_factory=dict)
    """Bodies that meet at each joint, once all are known."""

    def bodies(self, place: Place, point: BodyPoint) -> set[str]:
        """Every body on which the point is fixed: a pin lies on both of its bodies."""
        return self.joints.get(place.pin or "", set()) | {point.body}

    def place(self, place: Place, on: str, field: str) -> BodyPoint:
        """Raises ``DocumentError`` for a pin or a line that this gear does not have."""
        if place.pin is not None:
            if place.pin not in self.pins:
                known = ", ".join(self.pins)
                raise DocumentError([Fault(field, f"no pin is called {place.pin!r}", f"one of {known}")])
            return self.pins[place.pin]
        if place.at is not None:
            return BodyPoint(on, at(place.at))
        if place.along is not None:
            return BodyPoint(LEG, self.pins["trunnion"].at + place.along * self.down + place.offset * self.aft)
        start, end = self._line(on, field)
        turn = plain(np.cos(np.radians(place.angle)) + 1j * np.sin(np.radians(place.angle)))
        radius = 0.0 if place.radius is None else place.radius
        return BodyPoint(on, start + radius * (end - start) / abs(end - start) * turn)

    def _line(self, on: str, field: str) -> tuple[complex, complex]:
        ends = LINES.get(on, ("", ""))
        if not set(ends) <= self.pins.keys():
            raise DocumentError(
                [Fault(field, f"{{radius, angle}} has no line to measure from on the {on}", "[FS, WL]")]
            )
        return self.pins[ends[0]].at, self.pins[ends[1]].at
