"""Every state of a study as one case: parts, and the span of the stroke."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from linkage.document.states import StateEntry
from linkage.document.study import Study
from linkage.gear import Gear, GearPart
from linkage.states.parts import loosened, opened, pressed, turned, tyre_size, with_tyre
from linkage.states.play import strays
from linkage.stroke import Stroke

NOMINAL = "strut extended, gear moving"
"""The state that is always there: parts as drawn, wheel straight, engine at rest, no play."""


@dataclass(frozen=True)
class Case:
    """One state. ``parts``: what holds every part in it, several of a name where one would not do; ``span``: driven
    rotations over which they move, rad."""

    entry: StateEntry
    parts: tuple[GearPart, ...]
    span: tuple[float, float]

    @property
    def name(self) -> str:
        return self.entry.name


def cases(study: Study, gear: Gear, stroke: Stroke) -> tuple[Case, ...]:
    """The states of the study in their order, without the nominal one."""
    loose = strays(study, gear, stroke) if any(s.play == "taken up" for s in study.state) else {}
    return tuple(_case(study, gear, stroke, state, loose) for state in study.state)


def _case(study: Study, gear: Gear, stroke: Stroke, state: StateEntry, loose: dict[str, tuple[float, float]]) -> Case:
    up = stroke.driven_up
    span = {"moving": (0.0, up), "down": (0.0, 0.0), "up": (up, up)}[state.gear]
    return Case(state, shaped(study, gear, state, loose), span)


def shaped(
    study: Study, gear: Gear, state: StateEntry, loose: Mapping[str, tuple[float, float]]
) -> tuple[GearPart, ...]:
    """What holds every part of the gear in a state. ``loose``: how far play lets each stray, for a state with play."""
    least, most = compressions(study, state)
    parts: list[GearPart] = []
    for drawn in gear.parts:
        sized = with_tyre(drawn, *tyre_size(study.tyre, state.tyre)) if _resized(drawn, state) else drawn
        for slice_ in sized.nested:
            part = opened(slice_, gear.doors) if state.doors == "open" else slice_
            if part.steers and state.turned > 0:
                part = turned(part, gear, math.radians(state.turned))
            if state.play == "taken up":
                part = loosened(part, *loose[part.name])
            parts += pressed(part, gear, least, most)
    return tuple(parts)


def _resized(part: GearPart, state: StateEntry) -> bool:
    return part.tyre and len(part.core) == 1 and state.tyre != "as drawn"


def compressions(study: Study, state: StateEntry) -> tuple[float, float]:
    """Least and greatest compression of the strut in a state, mm."""
    if state.compression is not None:
        return state.compression, state.compression
    strut = study.strut
    return {
        "extended": (0.0, 0.0),
        "static": (strut.static_compression, strut.static_compression),
        "bottomed": (strut.stroke, strut.stroke),
        "any": (0.0, strut.stroke),
    }[state.strut]
