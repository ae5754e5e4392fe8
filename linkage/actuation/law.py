"""Time law of a powered stroke: the actuator speeds up evenly, runs steadily and slows down evenly.

Where the actuator cannot drive the whole stroke (see `linkage.actuation.gravity.driving`), the law is that of the
driven link instead. Down is up in reverse: same places, same accelerations, opposite speeds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.actuation.gravity import driving
from linkage.gear import Gear
from linkage.mechanism import newton
from linkage.mechanism.model import Floats, Slide
from linkage.mechanism.motion import Motion
from linkage.plane.vectors import dot
from linkage.stroke import Stroke


@dataclass(frozen=True)
class Run:
    """At every pose, on the way up: ``time`` s; ``rate`` rad/s and ``accel`` rad/s2 of the driven link; speed of the
    actuator mm/s, positive where it grows."""

    time: Floats
    rate: Floats
    accel: Floats
    actuator_speed: Floats


def steady(way: Floats, cycle: float, ramp: float) -> tuple[Floats, Floats, Floats]:
    """Time, speed and acceleration where a part ``way`` (0 to 1) of the path is done, per unit of path.

    Trapezoid: ``ramp`` of the cycle time to speed up and again to slow down.
    """
    top = 1.0 / (cycle * (1.0 - ramp))
    slope = top / (ramp * cycle)
    share = 0.5 * top * ramp * cycle  # of the path, for each ramp
    left = np.minimum(way, 1.0 - way)  # the second half mirrors the first
    starting = left < share
    speed = np.where(starting, np.sqrt(2.0 * slope * np.maximum(left, 0.0)), top)
    half = np.where(starting, speed / slope, ramp * cycle + (left - share) / top)
    late = way > 0.5
    accel = np.where(starting, np.where(late, -slope, slope), 0.0)
    return np.where(late, cycle - half, half), speed, accel


def run_law(gear: Gear, stroke: Stroke, cycle: float, ramp: float) -> Run:
    """The powered stroke in ``cycle`` seconds, exact: the actuator's first and second coefficients carry it over."""
    rate = stroke.actuator_rate
    if not driving(stroke).all():
        whole = stroke.driven_up
        time, speed, accel = steady(stroke.driven / whole, cycle, ramp)
        return Run(time, whole * speed, whole * accel, rate * whole * speed)
    path = stroke.actuator_length - stroke.actuator_length[0]
    time, speed, accel = steady(path / path[-1], cycle, ramp)
    driven_rate = path[-1] * speed / rate
    bend = travel_accel(stroke.motion, gear, gear.effort_at)
    return Run(time, driven_rate, (path[-1] * accel - bend * driven_rate**2) / rate, path[-1] * speed)


def travel_accel(motion: Motion, gear: Gear, name: str) -> Floats:
    """Second derivative of a joint's travel by the driven rotation, (poses,).

    For a slide: that of ``axis . apart``, the axis turning with body a; what is apart lies along the axis.
    """
    j = gear.mechanism.joint(name)
    if not isinstance(j, Slide):
        return np.asarray((motion.spin_rate(j.b) - motion.spin_rate(j.a))[0])
    axis: Any = newton.axis_of(motion.state, j)
    spin = motion.spin(j.a)
    apart = motion.point(j.b, j.at) - motion.point(j.a, j.at)
    slip = motion.velocity(j.b, j.at) - motion.velocity(j.a, j.at)
    gain = motion.acceleration(j.b, j.at) - motion.acceleration(j.a, j.at)
    bend = dot(axis, gain) + 2.0 * spin * dot(1j * axis, slip) - spin * spin * dot(axis, apart)
    return np.asarray(bend[0], dtype=np.float64)
