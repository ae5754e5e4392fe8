"""Wishes for tests, and the full solver's word on a design."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from linkage.actuation import actuation
from linkage.checks import Finding
from linkage.checks.drive import drive
from linkage.checks.finding import within
from linkage.checks.linkage import linkage
from linkage.checks.lock import _travel
from linkage.document.study import Study
from linkage.document.variants import value_at
from linkage.document.wishes import read_with_wishes
from linkage.gear import Gear, build
from linkage.lock import lock_travel
from linkage.obstacles import Obstacle, obstacles
from linkage.search.candidates import PLACES, Branch, Candidates, branches
from linkage.stroke import Stroke, gear_and_stroke
from tests.studies import MERROW, changed

WANTED = MERROW.parent / "wanted.toml"


@cache
def demo() -> tuple[Study, tuple[Obstacle, ...]]:
    study = read_with_wishes(MERROW, WANTED).study
    return study, obstacles(study, MERROW.parent)


def own(study: Study) -> Candidates:
    """The study's own gear as the only candidate, of the first branch that folds as it does."""
    gear, pin = study.gear, study.gear.actuator.pin
    found = [value_at(study, field) or 0.0 for field in PLACES.values()]
    pair = (0.0, 0.0) if pin is None else (pin.along, pin.offset) if pin.along is not None else (pin.radius, pin.angle)
    row = np.array([*found, *pair, -1.0], dtype=np.float64)
    branch = branches(study).index(Branch(gear.folds, gear.brace.knee_folds))
    return Candidates(row[None, :], np.array([branch]))


def wished(changes: dict[str, Any]) -> Study:
    return read_with_wishes(MERROW, WANTED, changes).study


def wide(path: Path, changes: dict[str, Any] | None = None) -> Study:
    """A study whose pins may be nearly anywhere, and whose limits hardly bind: candidates of all kinds pass."""
    study = changed({}, path)
    k = 1.0 if path == MERROW else 1 / 25.4
    gear, on_leg = build(study), study.gear.actuator.pushes == "leg"
    axle, trunnion = gear.pins["axle"].at, gear.pins["trunnion"].at
    up = trunnion + (axle - trunnion) * np.exp(1j * gear.leg_sense * gear.swing_up)

    def box(z: complex, reach: float) -> dict[str, Any]:
        return {"fs": [(z.real - reach) * k, (z.real + reach) * k], "wl": [(z.imag - reach) * k, (z.imag + reach) * k]}

    def wheel(z: complex) -> dict[str, Any]:
        return {"at": [z.real * k, z.imag * k], "tolerance": 5 * k}

    pin = {"along": [50 * k, 400 * k], "offset": [-100 * k, 100 * k]}
    wanted = {
        "wheel": {"down": wheel(axle), "up": wheel(up)},
        "trunnion": box(trunnion, 150),
        "upper_pin": box(gear.pins["upper pin"].at, 250),
        "lug": {"along": [30 * k, 450 * k], "offset": [-100 * k, 100 * k]},
        "upper_link": [40 * k, 450 * k],
        "over_centre": [1 * k, 30 * k],
        "knee_folds": ["up", "down", "aft", "forward"],
        "actuator": {
            "root": box(gear.pins["actuator root"].at, 250),
            "pin": pin if on_leg else {"radius": [30 * k, 250 * k], "angle": [-180, 180]},
        },
    }
    loose = {
        "limits": {
            "transmission_angle": {"min": 3, "source": "test"},
            "over_centre": {"min": 0.1 * k, "max": 40 * k, "source": "test"},
            "steer_axis_tilt": {"min": -70, "max": 70, "source": "test"},
            "lock_travel": {"min": 0.01 * k, "source": "test"},
            "load_factor": {"max": 2.0, "source": "test"},
        },
        "gear.actuator.dead_length": 0,
        "gear.actuator.max_force": 20000 if path == MERROW else 5000,
        "gear.actuator.travel_left_at_lock": 30 * k if on_leg else 2,
        "wanted": wanted,
    }
    return changed({**loose, **(changes or {})}, path)


def judged(study: Study) -> tuple[Gear, Stroke, list[Finding]]:
    """The full solver: raises ``LinkageError``, or finds what the screening also judges."""
    gear, stroke = gear_and_stroke(study)
    least = study.limits.over_centre.min
    lock = SimpleNamespace(
        travel=lock_travel(gear, stroke, least if least is not None else 0.0),
        release=study.gear.lock.release if study.gear.lock else "",
    )
    push = actuation(study, gear, stroke)
    r: Any = SimpleNamespace(study=study, gear=gear, stroke=stroke, actuation=push, lock=lock)
    tilt = math.degrees(math.atan2(-gear.down.real, -gear.down.imag))
    tilts = within("steer-axis", "", tilt, study.limits.steer_axis_tilt, "deg")
    return gear, stroke, [*linkage(r), *drive(r), *_travel(r), *tilts]
