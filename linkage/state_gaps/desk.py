"""What the states share: nominal gaps, and what was worked out for parts and items met before."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from linkage.clearance import BRACKET, Gap, bay_gap, own_gap
from linkage.document.states import StateEntry
from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.obstacles import Obstacle
from linkage.plane.outlines import shapes_of
from linkage.states.engine import moved
from linkage.stroke import Stroke
from linkage.tracks import Bends, Track, track

Span = tuple[float, float]


@dataclass(frozen=True)
class Desk:
    """What the states share: the nominal gaps, and tracks and gaps of parts met before."""

    study: Study
    gear: Gear
    stroke: Stroke
    items: tuple[Obstacle, ...]
    bay: dict[tuple[str, str], Gap]
    own: dict[frozenset[str], Gap]
    drawn: dict[str, tuple[GearPart, ...]]
    bends: Bends = field(default_factory=dict)
    tracks: dict[GearPart, Track] = field(default_factory=dict)
    measured: dict[tuple[GearPart, GearPart | int, Span], Gap] = field(default_factory=dict)
    covers: dict[tuple[int, str, str], Obstacle] = field(default_factory=dict)
    shapes: dict[tuple[GearPart, float], Any] = field(default_factory=dict)

    def cover(self, item: Obstacle, state: StateEntry) -> Obstacle:
        """The item in a state: itself, or the cover of its places while the engine moves."""
        key = (id(item), state.engine, state.mounts)
        if key not in self.covers:
            (self.covers[key],) = moved((item,), self.study.engine, state)
        return self.covers[key]

    def track(self, part: GearPart) -> Track:
        if part not in self.tracks:
            self.tracks[part] = track(self.gear, part, self.stroke.driven_up, self.bends)
        return self.tracks[part]

    def shape(self, part: GearPart, driven: float) -> Any:
        """Core of a part at a driven rotation, rad; its disc left out."""
        key = (part, driven)
        if key not in self.shapes:
            self.shapes[key] = shapes_of(self.track(part).at(np.array([driven])), part.closed)[0]
        return self.shapes[key]

    def to_item(self, part: GearPart, item: Obstacle, span: Span) -> Gap:
        key = (part, id(item), span)
        if key not in self.measured:
            self.measured[key] = bay_gap(self.gear, self.stroke, self.track(part), item, span)
        return self.measured[key]

    def nominal(self, part: GearPart, item: Obstacle) -> Gap:
        """The nominal gap of a pair that a state leaves alone, measured closely now if it was not before."""
        known = self.bay[part.name, item.name]
        return known if close(known) else self.to_item(part, item, (0.0, self.stroke.driven_up))

    def to_part(self, one: GearPart, two: GearPart, span: Span) -> Gap:
        key = (one, two, span)
        if key not in self.measured:
            required = self.study.gear.self_gap
            self.measured[key] = own_gap(self.gear, self.track(one), self.track(two), span, required)
        return self.measured[key]

    def whole(self, span: Span) -> bool:
        return span == (0.0, self.stroke.driven_up)

    def unchanged(self, part: GearPart) -> bool:
        return part in self.drawn[part.name]


def close(gap: Gap) -> bool:
    """Whether a gap was measured to within the bracket, not only bounded from samples."""
    return gap.upper - gap.gap <= 2 * BRACKET
