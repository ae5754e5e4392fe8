"""Random gears of every topology: the studies and their variants with every pin, length and angle moved by chance.

A gear has a generator of its own from (seed, number), so the first few of many are the same as few alone.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.document.reader import parse
from linkage.document.study import Study
from linkage.errors import LinkageError
from linkage.gear import Gear
from linkage.stroke import Stroke, gear_and_stroke
from tests.gear.test_topologies import CRANK_FORWARD
from tests.studies import MERROW, OSTREL, table
from tests.topologies import BARE, STARTER, VARIANTS

SEED = 20261125
NO_BAY: dict[str, Any] = {"bay.item": [], "state": [], "stroke.poses": 91}
BASES: tuple[tuple[str, dict[str, Any]], ...] = (
    *((name, {**BARE, **changes}) for name, changes in VARIANTS.items()),
    ("Merrow", {**NO_BAY, "gear.actuator.dead_length": 0}),
    ("Ostrel", NO_BAY | {"gear.actuator.dead_length": 0}),
    ("Ostrel with a bell-crank", NO_BAY | CRANK_FORWARD),
)
MOVED = ("trunnion", "leg", "brace", "actuator", "lock_link", "door")
LEFT_ALONE = {"butt_lines", "thickness", "mass", "max_force", "axle_offset", "bearings", "stations", "tow_fitting"}
LEFT_ALONE |= {"upper_section", "lower_section", "dead_length", "travel_left_at_lock", "cycle_time", "butt_line"}
LEFT_ALONE |= {"hydraulic", "screw", "hand"}
SPREAD = 10.0
"""mm by which a coordinate or a length may be moved either way; angles by as many tenths of a degree times five."""


@dataclass(frozen=True)
class RandomGear:
    base: str
    study: Study
    gear: Gear
    stroke: Stroke


def random_gears(count: int, seed: int = SEED, bases: tuple[str, ...] = ()) -> Iterator[RandomGear]:
    """The bases (all, or those named) in turn, each as often as needed. What does not fold is drawn again."""
    chosen = [next(b for b in BASES if b[0] == name) for name in bases] if bases else BASES
    for i in range(count):
        name, changes = chosen[i % len(chosen)]
        yield _drawn(name, changes, np.random.default_rng([seed, i]))


def _drawn(name: str, changes: dict[str, Any], rng: np.random.Generator) -> RandomGear:
    path = OSTREL if name.startswith("Ostrel") else MERROW if name == "Merrow" else STARTER
    inch = path == OSTREL
    for _ in range(200):
        plain = table(path, changes)
        for key in MOVED:
            if key in plain["gear"]:
                plain["gear"][key] = _moved(plain["gear"][key], key, rng, SPREAD / 25.4 if inch else SPREAD)
        try:
            study = parse(plain, path.name)
            with warnings.catch_warnings():
                warnings.simplefilter("error", RuntimeWarning)  # in the command too, as pytest has it
                gear, stroke = gear_and_stroke(study)
        except (LinkageError, RuntimeWarning):  # does not fold, or stands exactly on a dead point
            continue
        return RandomGear(name, study, gear, stroke)
    raise AssertionError(f"{name}: none of 200 drawn folds")


def _moved(value: Any, key: str, rng: np.random.Generator, spread: float) -> Any:
    if key in LEFT_ALONE or isinstance(value, bool | str):
        return value
    if isinstance(value, dict):
        return {k: _moved(v, k, rng, spread) for k, v in value.items()}
    if isinstance(value, list):
        return [_moved(v, "", rng, spread) for v in value]
    if not isinstance(value, int | float):
        return value
    part = float(rng.uniform(-1.0, 1.0))
    if key == "over_centre":
        return value * (1.0 + 0.6 * part)
    return value + part * (5.0 if key in ("angle", "swing_up") else spread)
