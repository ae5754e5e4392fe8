"""Gear -> Stroke: the whole retraction from the lock to leg-up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from linkage.document.study import Study
from linkage.errors import MechanismError
from linkage.gear import LEG, Gear, Locking, build
from linkage.mechanism.model import Complexes, Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.statics import travel_rate
from linkage.plane.vectors import cross, dot
from linkage.stroke.drive import check_drive
from linkage.stroke.ends import way_up
from linkage.stroke.motion import StrokeEndsError, dead_centres_of, motion_at, swing_at
from linkage.stroke.remedy import remedy


@dataclass(frozen=True)
class Stroke:
    """The retraction as arrays over poses, first row locked down, last row leg up.

    ``driven`` and ``swing`` in rad, positive towards up; ``pins``: FS + 1j*WL in mm by name; ``knee_offset`` in mm,
    positive over centre, NaN for a brace without a knee; ``transmission``: brace against leg at the lug, rad,
    0 to pi/2; ``actuator_rate`` in mm/rad of driven rotation.
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
    dead_centres: tuple[float, ...]
    """Driven rotation, rad, at which each over-centre pair crosses its line: lock links first, then the brace."""
    overswing: float
    """How far the leg has turned beyond the lock, against its way up, at dead centre: rad, positive."""
    motion: Motion

    @property
    def dead_centre(self) -> float:
        """Driven rotation, rad, from which on the leg only moves up; 0 for a brace without a knee."""
        return self.dead_centres[-1] if self.dead_centres else 0.0

    @property
    def driven_up(self) -> float:
        return float(self.driven[-1])

    @property
    def actuator_stroke(self) -> float:
        return float(np.ptp(self.actuator_length))


def run(gear: Gear, poses: int) -> Stroke:
    """Move the gear from the lock to leg-up. Raises ``MechanismError`` where it stops, jams or reverses."""
    up, turns = way_up(gear)
    stroke = _table(gear, np.linspace(0.0, up, poses), turns)
    check_drive(gear, stroke.dead_centre, up)
    return stroke


def offset_of(pair: Locking, pins: Mapping[str, Complexes]) -> Floats:
    """Distance of the pair's knee past its line over the poses, mm, positive over centre as in the first pose."""
    near, knee, far = (pins[name] for name in (pair.near, pair.knee, pair.far))
    aside = cross(far - near, knee - near) / np.abs(far - near)
    return np.asarray(np.sign(aside[:1]) * np.sign(pair.shape.over_centre) * aside)


def _table(gear: Gear, driven: Floats, turns: Floats) -> Stroke:
    motion = motion_at(gear, driven)
    pins = {name: motion.point(p.body, p.at)[0] for name, p in gear.pins.items()}
    dead = dead_centres_of(gear, turns)
    near, far = (pins[name] for name in gear.thrust_line)
    link, leg = far - near, pins["lug"] - pins["trunnion"]
    lean = np.abs(np.arctan2(cross(link, leg), dot(link, leg)))
    brace = Locking(gear.brace, "upper pin", "knee", "lug")
    return Stroke(
        driven=driven,
        swing=gear.leg_sense * motion.angle(LEG)[0],
        swing_rate=gear.leg_sense * gear.drive_sense * motion.spin(LEG)[0],
        pins=pins,
        knee_offset=offset_of(brace, pins) if gear.brace.has_knee else np.full(len(driven), np.nan),
        transmission=np.minimum(lean, np.pi - lean),
        actuator_length=np.abs(pins["actuator pin"] - pins["actuator root"]),
        actuator_rate=gear.drive_sense * travel_rate(motion, gear.mechanism, gear.effort_at)[0],
        spring_lengths={s: np.abs(pins[f"{s} pin"] - pins[f"{s} root"]) for s in gear.springs},
        dead_centres=dead,
        overswing=-float(swing_at(gear, np.array([dead[-1]]))[0]) if dead else 0.0,
        motion=motion,
    )


def gear_and_stroke(study: Study) -> tuple[Gear, Stroke]:
    """Build and move the gear of a study, and check that its actuator can be bought."""
    gear = build(study)
    try:
        return gear, stroke_of(study, gear)
    except StrokeEndsError as err:
        raise MechanismError(f"{err}{remedy(study) if err.by_brace else ''}") from err


def stroke_of(study: Study, gear: Gear) -> Stroke:
    """The stroke of a study's gear as built. Raises as `run` does, and for an actuator that cannot be bought."""
    stroke = run(gear, study.stroke.poses)
    entry = study.gear.actuator
    shortest, travel = float(np.min(stroke.actuator_length)), stroke.actuator_stroke
    if shortest - travel < entry.dead_length:
        raise MechanismError(
            f"gear.actuator: {shortest:.1f} mm at its shortest is less than its stroke {travel:.1f} mm plus dead_length"
            f" {entry.dead_length:g} mm = {travel + entry.dead_length:.1f} mm; the largest dead_length that fits is"
            f" {shortest - travel:.1f} mm"
        )
    return stroke
