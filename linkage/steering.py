"""Steer-axis tilt and trail, extended / static / bottomed, and the lift of the wheel under steering.

"Rake" is used in opposite senses in practice; here ``tilt`` is positive with the TOP AFT, and trail is positive with
the ground contact AFT of the steer axis (docs/conventions.md).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.study import Study
from linkage.gear import Gear
from linkage.plane.vectors import plain
from linkage.stance import Ground, grounds


def ground_trail(radius: Any, tilt: Any, offset: Any) -> float:
    """Trail measured along the ground: (R sin phi + f)/cos phi. Standard form of steering geometry.

    ``radius`` loaded radius and ``offset`` of the axle aft of the axis in mm, ``tilt`` in rad, top aft positive.
    """
    trail: float = plain((radius * np.sin(tilt) + offset) / np.cos(tilt))
    return trail


def normal_trail(radius: float, tilt: float, offset: float) -> float:
    """Trail measured square to the steer axis: R sin phi + f, mm."""
    return radius * math.sin(tilt) + offset


def steer_lift(radius: float, tilt: float, offset: float, steer: float) -> float:
    """Rise of the tyre's lowest point when steered by ``steer`` rad: rigid thin disc, derived here, mm."""
    dip = 1.0 - math.sqrt(1.0 - (math.sin(tilt) * math.sin(steer)) ** 2)
    return offset * math.sin(tilt) * (1.0 - math.cos(steer)) + radius * dip


def flop_factor(radius: float, tilt: float, offset: float) -> float:
    """Trail times sin and cos of the tilt, mm: how strongly the wheel falls to the side."""
    return ground_trail(radius, tilt, offset) * math.sin(tilt) * math.cos(tilt)


@dataclass(frozen=True)
class SteerState:
    """One ground state: ``tilt`` is relative to the ground (aircraft pitch included), rad; lengths mm."""

    state: str
    radius: float
    tilt: float
    trail: float
    normal_trail: float
    flop: float
    lift_30deg: float


@dataclass(frozen=True)
class Steering:
    """``tilt``: steer-axis tilt relative to the aircraft, rad, top aft positive; ``states`` by name."""

    tilt: float
    offset: float
    states: tuple[SteerState, ...]

    def state(self, name: str) -> SteerState:
        return next(s for s in self.states if s.state == name)


def steering(study: Study, gear: Gear) -> Steering:
    """Tilt and trail in every ground state of `linkage.stance.grounds`."""
    offset = study.gear.leg.axle_offset
    states = tuple(_state(g, gear.tilt, offset) for g in grounds(study, gear))
    return Steering(gear.tilt, offset, states)


def _state(ground: Ground, tilt: float, offset: float) -> SteerState:
    phi, radius = tilt + ground.pitch, ground.radius
    return SteerState(
        ground.state,
        radius,
        phi,
        ground_trail(radius, phi, offset),
        normal_trail(radius, phi, offset),
        flop_factor(radius, phi, offset),
        steer_lift(radius, phi, offset, math.radians(30)),
    )
