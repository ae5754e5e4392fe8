"""The reference loads that scripts rely on: three conditions on the greatest static nose load, in the side view.

All forces are LIMIT loads. The locked brace is one strut between upper pin and lug: its stop works between its own two
links, so along its line it carries the axial force P and at the knee the couple P*h, h being the over-centre offset.
They are the same whatever conditions a study chooses.
"""

from __future__ import annotations

import cmath
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.conditions import condition_set
from linkage.document.study import Study
from linkage.gear import BraceShape, Gear
from linkage.loads.conditions import Condition, condition
from linkage.loads.statics import LoadPath
from linkage.plane.vectors import cross, plain
from linkage.stance import Ground

REFERENCE_SET, REFERENCE = "cfr23-2015", ("static 1 g", "aft load", "forward load")


@dataclass(frozen=True)
class LockedLoad:
    """Loads of one condition, N and N mm, limit. ``wheel``: on the wheel by the ground (FS aft + 1j*WL up).

    ``brace``: axial, compression positive. ``stop``: square to the line upper pin - lug, positive presses the knee onto
    its stop. ``stop_couple``: the couple the stop carries between the links. ``trunnion`` and ``upper_pin``: on the
    airframe (with lock links that hold the knee, ``upper_pin`` includes their root).
    """

    condition: Condition
    wheel: complex
    brace: float
    stop: float
    stop_couple: float
    trunnion: complex
    upper_pin: complex


def brace_axial(path: LoadPath, at: Any, force: Any) -> float:
    """Axial force of the locked brace (compression +) from moments about the trunnion, for a force on the leg there."""
    axial: float = plain(-cross(at - path.trunnion, force) / cross(path.lug - path.trunnion, path.line))
    return axial


def stop_force(pair: BraceShape, axial: Any) -> float:
    """P h (1/a1 + 1/a2), a1 and a2 the links' lengths along the line of the pair: equilibrium of the knee, exact."""
    h = pair.over_centre
    a1, a2 = (np.sqrt(length**2 - h * h) for length in (pair.upper_link, pair.lower_link))
    force: float = plain(axial * h * (1 / a1 + 1 / a2))
    return force


def locking_pair(gear: Gear, path: LoadPath, axial: Any) -> tuple[BraceShape, Any]:
    """The over-centre pair that holds the lock, and its own axial force for one of the brace."""
    if path.lock_link is not None and gear.lock_link is not None:
        return gear.lock_link, path.lock_link * axial
    return gear.brace, axial


def locked_load(gear: Gear, path: LoadPath, on: Condition, nose_load: float) -> LockedLoad:
    """A condition that is a factor on the static nose load (N), at the axle, in the attitude's own strut position."""
    ground = on.ground
    vertical = on.vertical.factor * nose_load
    wheel = vertical * complex(on.fore_aft, 1.0) * cmath.exp(1j * ground.pitch)
    axial = brace_axial(path, ground.axle, wheel)
    pair, force = locking_pair(gear, path, axial)
    return LockedLoad(
        on,
        wheel,
        axial,
        stop_force(pair, force),
        force * pair.over_centre,
        wheel + axial * path.line,
        -axial * path.line,
    )


def reference_loads(
    study: Study, gear: Gear, path: LoadPath, static: Ground, nose_load: float
) -> tuple[LockedLoad, ...]:
    """Static 1 g, 23.499(a) and 23.499(b) on the greatest static nose load in N."""
    entries = {c.name: c for c in condition_set(REFERENCE_SET).condition}
    return tuple(locked_load(gear, path, condition(entries[name], study, static), nose_load) for name in REFERENCE)
