"""Gear -> Stroke: the whole retraction from the lock to leg-up, on the driven link's rotation as coordinate.

The leg angle is no coordinate: at the over-centre lock it is double-valued, because the leg over-swings until dead
centre.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linkage.document.study import Study
from linkage.errors import LinkageError, MechanismError
from linkage.gear import LEG, Gear, build
from linkage.mechanism.dead import dead_points
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import Motion, solve, trace
from linkage.mechanism.statics import travel_rate
from linkage.plane.vectors import cross, dot


class StrokeEndsError(MechanismError):
    """The gear stops short of leg-up."""


SCAN = 2001
"""Samples over the furthest thinkable rotation of the driven link, to find where the stroke ends or stops."""
FURTHEST = math.radians(300)


@dataclass(frozen=True)
class Stroke:
    """The retraction as arrays over poses, first row locked down, last row leg up.

    ``driven`` and ``swing`` in rad, positive towards up; ``pins``: FS + 1j*WL in mm by name; ``knee_offset`` in mm,
    positive over centre; ``transmission`` in rad, 0 to pi/2; ``actuator_rate`` in mm/rad of driven rotation.
    """

    driven: Floats
    swing: Floats
    swing_rate: Floats
    pins: Mapping[str, Complexes]
    knee_offset: Floats
    transmission: Floats
    actuator_length: Floats
    actuator_rate: Floats
    spring_lengths: Mapping[str, Floats]
    dead_centre: float
    """Driven rotation, rad, at which the knee crosses the line upper pin - lug."""
    overswing: float
    """How far the leg has turned beyond the lock, against its way up, at dead centre: rad, positive."""
    motion: Motion

    @property
    def driven_up(self) -> float:
        return float(self.driven[-1])

    @property
    def actuator_stroke(self) -> float:
        return float(np.ptp(self.actuator_length))


def run(gear: Gear, poses: int) -> Stroke:
    """Move the gear from the lock to leg-up. Raises ``MechanismError`` where it stops, jams or reverses."""
    up = _driven_up(gear)
    driven = np.linspace(0.0, up, poses)
    stroke = _table(gear, driven)
    _check_drive(gear, stroke)
    return stroke


def motion_at(gear: Gear, driven: Floats, order: int = 2) -> Motion:
    """The kernel's motion at driven rotations positive towards up (its own coordinate is anticlockwise)."""
    return solve(gear.plan, gear.drive_sense * driven, order)


def swing_at(gear: Gear, driven: Floats) -> Floats:
    """Leg swing in rad, positive towards up, within half a turn of the lock."""
    trunnion = gear.pins["trunnion"].at
    tip = trace(gear.plan, gear.drive_sense * np.atleast_1d(driven), [(LEG, trunnion + gear.down)])[0, 0]
    return np.asarray(gear.leg_sense * np.angle((tip - trunnion) / gear.down))


def dead_centre_of(gear: Gear, up: float) -> float:
    """Driven rotation at which the leg turns back: the knee on the line upper pin - lug."""
    places = dead_points(lambda x: motion_at(gear, x, 1).spin(LEG)[0], np.linspace(0.0, up, SCAN))
    if len(places) == 0:
        raise MechanismError("the knee does not pass dead centre on the way up: the brace never lets go of its lock")
    return float(places[0])


def _driven_up(gear: Gear) -> float:
    """Driven rotation at which the leg reaches its wanted swing."""
    grid = np.linspace(0.0, FURTHEST, SCAN)
    motion = motion_at(gear, grid, 1)
    swing = gear.leg_sense * motion.angle(LEG)[0]
    closes = motion.margin[0] > 0
    last = len(grid) if closes.all() else int(np.argmin(closes))
    reached = np.flatnonzero(swing[:last] >= gear.swing_up)
    if len(reached) == 0:
        raise StrokeEndsError(_stop_message(gear, grid[:last], swing[:last], last < len(grid)))
    lo, hi = grid[reached[0] - 1], grid[reached[0]]
    for _ in range(60):
        mid = 0.5 * (lo + hi)
        over = gear.leg_sense * float(motion_at(gear, np.array([0.0, mid]), 0).angle(LEG)[0, 1]) >= gear.swing_up
        lo, hi = (lo, mid) if over else (mid, hi)
    _check_way(gear, hi)
    return float(hi)


def _check_way(gear: Gear, up: float) -> None:
    """After dead centre the leg may not turn back before it is up."""
    turns = dead_points(lambda x: motion_at(gear, x, 1).spin(LEG)[0], np.linspace(0.0, up, SCAN))
    if len(turns) > 1:
        at = math.degrees(float(swing_at(gear, turns[1:2])[0]))
        raise MechanismError(
            f"the leg turns back at {at:.1f} deg of {math.degrees(gear.swing_up):g}: upper and lower link line up there"
            f" a second time; driven link at {math.degrees(turns[1]):.1f} deg"
        )


def _stop_message(gear: Gear, grid: Floats, swing: Floats, opened: bool) -> str:
    """Where the stroke ends short of leg-up, and what would reach."""
    most, wanted = math.degrees(float(np.max(swing))), math.degrees(gear.swing_up)
    if most < 1.0:
        way = "aft" if gear.leg_sense > 0 else "forward"
        return (
            f"gear.folds: with the knee folding as given the leg does not swing {way}; it turns"
            f" {math.degrees(float(np.min(swing))):.1f} deg the other way"
        )
    why = "lower link and leg line up" if opened else "upper and lower link fold flat"
    short = f"({wanted - most:.1f} deg short)"
    return f"gear.leg.swing_up: the gear stops at {most:.1f} deg of {wanted:g} {short}: {why}{_gap_on_the_way(gear)}"


def _gap_on_the_way(gear: Gear) -> str:
    """By how much the links lack closing on the way, seen from the leg: all places it should pass."""
    trunnion, upper, brace = gear.pins["trunnion"].at, gear.pins["upper pin"].at, gear.brace
    swing = np.linspace(0.0, gear.swing_up, SCAN)
    lug = trunnion + (brace.lug - trunnion) * np.exp(1j * gear.leg_sense * swing)
    reach = np.abs(lug - upper)
    room = np.minimum(brace.upper_link + brace.lower_link - reach, reach - abs(brace.upper_link - brace.lower_link))
    worst = int(np.argmin(room))
    if room[worst] >= 0:
        return ""
    end = "also" if room[-1] < 0 else "not"
    where = f"{math.degrees(swing[worst]):.1f} deg"
    return f"; the links lack {-room[worst]:.1f} mm to close at {where}, and {end} with the gear up"


def _table(gear: Gear, driven: Floats) -> Stroke:
    motion = motion_at(gear, driven)
    pins = {name: motion.point(p.body, p.at)[0] for name, p in gear.pins.items()}
    up = float(driven[-1])
    dead = dead_centre_of(gear, up)
    line = pins["lug"] - pins["upper pin"]
    link, leg = pins["lug"] - pins["knee"], pins["lug"] - pins["trunnion"]
    lean = np.abs(np.arctan2(cross(link, leg), dot(link, leg)))
    side = np.sign(cross(line[:1], pins["knee"][:1] - pins["upper pin"][:1]))
    return Stroke(
        driven=driven,
        swing=gear.leg_sense * motion.angle(LEG)[0],
        swing_rate=gear.leg_sense * gear.drive_sense * motion.spin(LEG)[0],
        pins=pins,
        knee_offset=side * cross(line, pins["knee"] - pins["upper pin"]) / np.abs(line),
        transmission=np.minimum(lean, np.pi - lean),
        actuator_length=np.abs(pins["actuator pin"] - pins["actuator root"]),
        actuator_rate=gear.drive_sense * travel_rate(motion, gear.mechanism, gear.effort_at)[0],
        spring_lengths={s: np.abs(pins[f"{s} pin"] - pins[f"{s} root"]) for s in gear.springs},
        dead_centre=dead,
        overswing=-float(swing_at(gear, np.array([dead]))[0]),
        motion=motion,
    )


def actuator_rate_at(gear: Gear, driven: Floats) -> Floats:
    """Change of actuator length per radian of driven rotation towards up."""
    return np.asarray(gear.drive_sense * travel_rate(motion_at(gear, driven, 1), gear.mechanism, gear.effort_at)[0])


def _check_drive(gear: Gear, stroke: Stroke) -> None:
    """The actuator may not reverse once the knee is through centre: there it would lose and regain the gear."""
    grid = np.linspace(stroke.dead_centre * 1.0001, stroke.driven_up, SCAN)
    reversals = dead_points(lambda x: actuator_rate_at(gear, x), grid)
    if len(reversals):
        swing = math.degrees(float(swing_at(gear, reversals[:1])[0]))
        raise MechanismError(
            f"gear.actuator: its length reverses in mid-stroke at {swing:.1f} deg of"
            f" {math.degrees(gear.swing_up):g} leg swing (driven link at {math.degrees(reversals[0]):.1f} deg):"
            f" there its line of action passes the pivot of what it pushes, a dead point of the drive; move"
            f" gear.actuator.root or pin"
        )


def gear_and_stroke(study: Study) -> tuple[Gear, Stroke]:
    """Build and move the gear of a study, and check that its actuator can be bought."""
    gear = build(study)
    try:
        stroke = run(gear, study.stroke.poses)
    except StrokeEndsError as err:
        raise MechanismError(f"{err}{_remedy(study)}") from err
    entry = study.gear.actuator
    shortest, travel = float(np.min(stroke.actuator_length)), stroke.actuator_stroke
    if shortest - travel < entry.dead_length:
        raise MechanismError(
            f"gear.actuator: {shortest:.1f} mm at its shortest is less than its stroke {travel:.1f} mm plus dead_length"
            f" {entry.dead_length:g} mm = {travel + entry.dead_length:.1f} mm; the largest dead_length that fits is"
            f" {shortest - travel:.1f} mm"
        )
    return gear, stroke


def _remedy(study: Study) -> str:
    """The upper link nearest in length with which the gear would reach leg-up, if one within 60 % does."""
    length = study.gear.brace.upper_link
    if length is None:
        return ""
    for step in range(1, 61):
        for sign in (1.0, -1.0):
            far = length * (1 + sign * step / 100)
            if _reaches(study, far):
                near = length * (1 + sign * (step - 1) / 100)
                for _ in range(20):
                    mid = 0.5 * (near + far)
                    near, far = (near, mid) if _reaches(study, mid) else (mid, far)
                kind = "shortest" if sign > 0 else "longest"
                return f"; the {kind} upper_link that reaches is {far:.1f} mm"
    return ""


def _reaches(study: Study, upper_link: float) -> bool:
    brace = study.gear.brace.model_copy(update={"upper_link": upper_link})
    try:
        _driven_up(build(study.model_copy(update={"gear": study.gear.model_copy(update={"brace": brace})})))
    except LinkageError:
        return False
    return True
