"""How far the strut may be pressed before a required gap breaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from linkage.clearance import Gap, in_space, lateral_gap
from linkage.gear import GearPart
from linkage.obstacles import Obstacle
from linkage.plane.outlines import shapes_of
from linkage.state_gaps.desk import Desk
from linkage.states.parts import pressed

GLANCES = 17
"""Poses at which pairs are put in order."""

PRESSED_WITHIN = 0.05
"""mm of compression between one that is proved clear and one where it no longer is."""


@dataclass(frozen=True)
class StrutLimit:
    """``clear_to``: up to this compression (mm) every required gap is proved to be kept, parts as drawn and engine at
    rest; ``gap``: the first that breaks at most `PRESSED_WITHIN` further, None if none does over the whole stroke."""

    clear_to: float
    stroke: float
    gap: Gap | None


def _glance(desk: Desk, part: GearPart, item: Obstacle) -> float:
    """Margin of a pair at a few poses with the strut bottomed: an order to look at pairs, no more."""
    bottomed = pressed(part, desk.gear, desk.study.strut.stroke, desk.study.strut.stroke)[0]
    core = desk.track(bottomed).at(np.linspace(0.0, desk.stroke.driven_up, GLANCES))
    side = shapely.distance(shapes_of(core, part.closed), item.shape) - part.radius - item.radius
    return float(in_space(lateral_gap(part.butt_lines, item.butt_lines), side).min()) - item.required


def strut_limit(desk: Desk) -> StrutLimit | None:
    """How far the strut may be pressed: the part at every compression up to some is one body, so its gap is proved for
    all of them, and the greatest such compression is closed in by halving."""
    stroke = desk.study.strut.stroke
    pairs = [
        (part, item)
        for drawn in desk.gear.parts
        if drawn.on_piston
        for part in drawn.nested
        for item in desk.items
        if part.name not in item.ignore
    ]
    if not pairs or stroke == 0:
        return None
    whole, clear, broken = (0.0, desk.stroke.driven_up), stroke, stroke
    found: Gap | None = None

    def worst(part: GearPart, item: Obstacle, compression: float) -> Gap:
        bodies = pressed(part, desk.gear, 0.0, compression)
        return min((desk.to_item(b, item, whole) for b in bodies), key=lambda g: g.gap)

    first = min((desk.bay[p.name, o.name] for p, o in pairs), key=lambda g: g.margin)
    if first.margin < 0:
        return StrutLimit(0.0, stroke, first)
    # a pair that breaks early comes first: the others then need to be looked at over a short way only
    for part, item in sorted(pairs, key=lambda pair: _glance(desk, *pair)):
        if desk.bay[part.name, item.name].margin >= broken:
            continue
        gap = worst(part, item, broken)
        if gap.margin >= 0:
            continue
        clear, found = 0.0, gap
        while broken - clear > PRESSED_WITHIN:
            middle = 0.5 * (clear + broken)
            gap = worst(part, item, middle)
            clear, broken, found = (middle, broken, found) if gap.margin >= 0 else (clear, middle, gap)
    return StrutLimit(clear, stroke, found)
