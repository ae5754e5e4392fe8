"""Air load on leg and wheel: dynamic pressure with slipstream, and how the drag area goes with the swing."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linkage.document.study import Air, Study
from linkage.gear import Gear
from linkage.plane.vectors import cross

PASCAL = 1e-6
"""N/mm2."""


def wind(air: Air) -> complex:
    """Unit vector along which the air pushes: aft, and up where the nose is up."""
    angle = math.radians(air.incidence)
    return complex(math.cos(angle), math.sin(angle))


def dynamic_pressure(density: float, speed: float, thrust: float = 0.0, diameter: float | None = None) -> float:
    """q = rho V^2 / 2 plus thrust / disk area in Pa: the fully contracted slipstream of an actuator disk, whose
    Bernoulli equations ahead of and behind it differ by just that (momentum theory, Rankine and Froude).

    ``density`` kg/m3, ``speed`` m/s, ``thrust`` N, ``diameter`` mm.
    """
    disk = math.pi / 4 * (diameter / 1000) ** 2 if diameter is not None else math.inf
    return 0.5 * density * speed * speed + thrust / disk


def drag(study: Study, speed: float, thrust: float) -> float:
    """Force in N on the gear as it hangs down."""
    air, propeller = study.air, study.airframe.propeller
    if air is None:
        return 0.0
    q = dynamic_pressure(air.density, speed, thrust, propeller.diameter if propeller is not None else None)
    return q * PASCAL * air.drag_area


def area_part(study: Study, gear: Gear, swing: Any) -> Any:
    """Part of the drag area left at leg swings in rad, 1 with the gear down; of a family (designs, poses)."""
    air = study.air
    if air is None or air.area == "constant":
        return np.ones(np.shape(swing))
    if air.area == "projected":
        down = gear.down if np.ndim(gear.down) == 0 else np.reshape(gear.down, (-1, 1))
        leg = down * np.exp(1j * gear.leg_sense * swing)
        return np.abs(cross(leg, wind(air)) / cross(down, wind(air)))
    return np.interp(np.degrees(swing), [a for a, _ in air.area], [part for _, part in air.area])
