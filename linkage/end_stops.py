"""How exactly the actuator places the gear at each end of the stroke, and what holds it up.

Rates are exact, of the mechanism in its two end positions; overtravel is the mechanism solved beyond leg-up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linkage.actuation.sources import span
from linkage.document.lock import UpStop
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.lock.preload import moments
from linkage.mechanism.dead import ROUNDING
from linkage.mechanism.model import Floats
from linkage.mechanism.motion import Motion
from linkage.mechanism.roots import closed_in
from linkage.plane.vectors import dot
from linkage.stroke import Stroke, motion_at

BEYOND = math.radians(30)
"""Furthest driven rotation beyond leg-up that is looked at."""
STEPS = 301


@dataclass(frozen=True)
class UpHold:
    """``kind``: what ends the stroke. ``reached``: of the wanted overtravel, mm; with it the axle moves ``axle`` mm,
    the leg ``swing`` rad and the held place ``moves`` mm beyond leg-up. ``hold``: force in N in the hook, or in the
    actuator if there is none, that carries the gear's weight at the load factor and its new springs. ``stall``: force
    in N on the leg stop when the actuator runs into it with all its force. None where the study does not say enough."""

    kind: str
    reached: float
    axle: float
    swing: float
    moves: float | None
    hold: float | None
    stall: float | None


@dataclass(frozen=True)
class EndStops:
    """Axle travel per actuator travel in the lock and with the gear up, mm/mm. ``brace``: least and greatest length of
    a telescoping brace, or travel of a sliding root from the lock along its track, mm; None with a knee."""

    axle_rate_down: float
    axle_rate_up: float
    brace: tuple[float, float] | None
    up: UpHold | None


def end_stops(study: Study, gear: Gear, stroke: Stroke) -> EndStops:
    """Both ends of the stroke."""
    axle = gear.pins["axle"]
    speed = np.abs(stroke.motion.velocity(axle.body, axle.at)[0])
    rate = np.abs(stroke.actuator_rate)
    entry = study.gear.up_stop
    with np.errstate(divide="ignore"):
        down, up = (float(speed[i] / rate[i]) for i in (0, -1))
    return EndStops(down, up, brace_run(study, stroke), up_hold(study, gear, stroke, entry) if entry else None)


def brace_run(study: Study, stroke: Stroke) -> tuple[float, float] | None:
    """As in `EndStops`."""
    brace, upper = study.gear.brace, stroke.pins["upper pin"]
    if brace.kind == "folding":
        return None
    if brace.track_to is None:
        run = np.abs(stroke.pins["lug"] - upper)
    else:
        along = complex(*brace.track_to) - complex(*brace.upper_pin)
        run = np.asarray(dot(along / abs(along), upper - upper[0]))
    return float(run.min()), float(run.max())


def up_hold(study: Study, gear: Gear, stroke: Stroke, entry: UpStop) -> UpHold:
    beyond, ran = _overtravel(gear, stroke, entry.overtravel)
    ends = motion_at(gear, np.array([stroke.driven_up, beyond]), 1)
    held = gear.pins.get("up stop")
    speed = gear.drive_sense * complex(ends.velocity(held.body, held.at)[0, 0]) if held else 0j
    rate = float(stroke.actuator_rate[-1])
    push = study.gear.actuator.max_force
    return UpHold(
        kind=entry.kind,
        reached=ran,
        axle=_moves(ends, gear, "axle"),
        swing=float(gear.leg_sense * (ends.angle("leg")[0, 1] - ends.angle("leg")[0, 0])),
        moves=_moves(ends, gear, "up stop") if held else None,
        hold=_hold(study, gear, stroke, entry.load_factor, abs(speed) if entry.kind == "hook" else abs(rate)),
        stall=abs(push * rate / speed) if entry.kind == "leg stop" and push and speed else None,
    )


def _moves(ends: Motion, gear: Gear, pin: str) -> float:
    point = gear.pins[pin]
    path = ends.point(point.body, point.at)[0]
    return float(abs(path[1] - path[0]))


def _hold(study: Study, gear: Gear, stroke: Stroke, load_factor: float, speed: float) -> float | None:
    """Force that carries all this, at a place or unit that moves at ``speed`` mm per rad of driven rotation."""
    if speed == 0:
        return None
    found = moments(study, gear, stroke, -1)
    return abs(load_factor * found.weight + sum(found.springs.values())) / speed


def _length(gear: Gear, motion: Motion) -> Floats:
    root, pin = gear.pins["actuator root"], gear.pins["actuator pin"]
    return np.asarray(span(motion, root, pin)[0])


def _overtravel(gear: Gear, stroke: Stroke, travel: float) -> tuple[float, float]:
    """Driven rotation at which the actuator has run ``travel`` beyond leg-up, or as far towards it as the gear goes;
    and how far it ran, mm."""
    grid = stroke.driven_up + np.linspace(0.0, BEYOND, STEPS)
    motion = motion_at(gear, grid, 0)
    way = float(np.sign(stroke.actuator_rate[-1]))
    ran = way * (_length(gear, motion) - float(stroke.actuator_length[-1]))
    stops = np.flatnonzero(~(np.diff(ran) > 0) | ~(motion.margin[0, 1:] > 0))
    last = int(stops[0]) if len(stops) else len(grid) - 1
    past = np.flatnonzero(ran[: last + 1] >= travel)
    if len(past) == 0:
        return float(grid[last]), float(ran[last])
    first, before = int(past[0]), max(int(past[0]) - 1, 0)
    if first == before:
        return float(grid[first]), travel

    def left(driven: Floats) -> Floats:
        return way * (_length(gear, motion_at(gear, driven, 0)) - float(stroke.actuator_length[-1])) - travel

    ends = grid[[before]], grid[[first]], ran[[before]] - travel, ran[[first]] - travel
    return float(closed_in(left, *ends, within=ROUNDING)[0]), travel
