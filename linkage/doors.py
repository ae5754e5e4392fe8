"""Doors driven by a rod from the gear: opening over the stroke, dead points, and the gap to the tyre."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.clearance import in_space, lateral_gap
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.mechanism.dead import dead_points
from linkage.mechanism.model import Complexes, Floats
from linkage.plane.vectors import cross, dot
from linkage.stroke import Stroke, motion_at, swing_at
from linkage.tracks import core_at, in_state

SCAN = 2001


@dataclass(frozen=True)
class DoorMotion:
    """Arrays over the poses of the stroke. ``opening``: angle from the place with the gear up, rad, positive where the
    drawn place (gear down) lies. ``rod_angle``: between rod and door at the rod's pin, rad, 0 to pi/2; at 0 the door
    jams. ``tyre_gap``: to the nearest tyre part, mm, negative in contact, NaN without one; ``tyre_low``: WL in mm of
    the lowest point of those.

    ``turns``: driven rotations at which the door turns back: there the rod points at the trunnion, and the gear does
    not move the door. ``turn_swings``: the same as leg swing. ``beyond``: how far the door opens beyond both its end
    places, rad. ``lever_down``, ``lever_up``: door turn per leg turn at the ends.
    """

    name: str
    opening: Floats
    rod_angle: Floats
    tyre_gap: Floats
    tyre_low: Floats
    turns: tuple[float, ...]
    turn_swings: tuple[float, ...]
    beyond: float
    lever_down: float
    lever_up: float
    may_turn_back: bool


def doors(study: Study, gear: Gear, stroke: Stroke) -> tuple[DoorMotion, ...]:
    """Every door of the study over the stroke."""
    return tuple(_door(gear, stroke, entry.name, entry.may_turn_back) for entry in study.gear.door)


def _door(gear: Gear, stroke: Stroke, name: str, may_turn_back: bool) -> DoorMotion:
    motion = stroke.motion
    angle = motion.angle(name)[0]
    sense = 1.0 if angle[0] >= angle[-1] else -1.0
    opening = sense * (angle - angle[-1])
    hinge, pin, end = (stroke.pins[f"{name} {what}"] for what in ("hinge", "rod pin", "rod end"))
    lean = np.abs(np.arctan2(cross(pin - hinge, end - pin), dot(pin - hinge, end - pin)))
    # over-swing of the lock turns the door back and forth with the leg: what counts comes after dead centre
    grid = np.linspace(stroke.dead_centre * 1.0001, stroke.driven_up, SCAN)
    turns = dead_points(lambda x: motion_at(gear, x, 1).spin(name)[0], grid)
    gap, low = _tyres(gear, stroke, name)
    spin, leg = motion.spin(name)[0], motion.spin("leg")[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        lever = np.abs(spin / leg)
    return DoorMotion(
        name=name,
        opening=opening,
        rod_angle=np.minimum(lean, np.pi - lean),
        tyre_gap=gap,
        tyre_low=low,
        turns=tuple(float(t) for t in turns),
        turn_swings=tuple(float(s) for s in swing_at(gear, turns)) if len(turns) else (),
        beyond=float(max(opening.max() - max(opening[0], opening[-1]), min(opening[0], opening[-1]) - opening.min())),
        lever_down=float(lever[0]),
        lever_up=float(lever[-1]),
        may_turn_back=may_turn_back,
    )


def _tyres(gear: Gear, stroke: Stroke, name: str) -> tuple[Floats, Floats]:
    """Gap to the nearest tyre and its lowest point at every pose. A tyre is a disc."""
    door = next(p for p in gear.parts if p.name == name)
    core = core_at(gear, door)(stroke.driven)
    gap, low = np.full(len(stroke.driven), np.inf), np.full(len(stroke.driven), np.inf)
    for part in gear.parts:
        if part.tyre and len(part.core) == 1:
            centre = core_at(gear, in_state(part, gear, 0.0))(stroke.driven)[:, 0]
            side = _from_segment(centre, core) - part.radius - door.radius
            gap = np.minimum(gap, in_space(lateral_gap(door.butt_lines, part.butt_lines), side))
            low = np.minimum(low, centre.imag - part.radius)
    return np.where(np.isfinite(gap), gap, np.nan), np.where(np.isfinite(low), low, np.nan)


def _from_segment(point: Complexes, ends: Complexes) -> Floats:
    along = ends[:, 1] - ends[:, 0]
    share = np.clip(dot(point - ends[:, 0], along) / np.abs(along) ** 2, 0.0, 1.0)
    return np.asarray(np.abs(point - ends[:, 0] - share * along))
