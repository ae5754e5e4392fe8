"""Candidates: many designs as columns of numbers, and how one becomes a study."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linkage.document.study import Study
from linkage.document.variants import value_at
from linkage.document.wanted import Wanted
from linkage.errors import DocumentError, Fault
from linkage.mechanism.model import Complexes, Floats

NAMES = (
    "trunnion_fs",
    "trunnion_wl",
    "leg_length",
    "axle_offset",
    "swing_up",
    "upper_pin_fs",
    "upper_pin_wl",
    "lug_along",
    "lug_offset",
    "upper_link",
    "lower_link",
    "over_centre",
    "root_fs",
    "root_wl",
    "pin_first",
    "pin_second",
    "unit",
)
"""Columns: mm, angles in deg as the document holds them; ``pin_first``, ``pin_second``: radius and angle of the
actuator's pin on a link, or along and offset on the leg; ``unit``: its number in the catalogue, -1 without one."""

PLACES = {
    "trunnion_fs": "gear.trunnion[0]",
    "trunnion_wl": "gear.trunnion[1]",
    "leg_length": "gear.leg.length",
    "axle_offset": "gear.leg.axle_offset",
    "swing_up": "gear.leg.swing_up",
    "upper_pin_fs": "gear.brace.upper_pin[0]",
    "upper_pin_wl": "gear.brace.upper_pin[1]",
    "lug_along": "gear.brace.lug.along",
    "lug_offset": "gear.brace.lug.offset",
    "upper_link": "gear.brace.upper_link",
    "lower_link": "gear.brace.lower_link",
    "over_centre": "gear.brace.over_centre",
    "root_fs": "gear.actuator.root[0]",
    "root_wl": "gear.actuator.root[1]",
}
"""Where a column goes in the document."""


@dataclass(frozen=True)
class Branch:
    """Which way the leg and the knee fold; every batch has one."""

    folds: str
    knee_folds: str


@dataclass(frozen=True)
class Candidates:
    """``table``: (designs, columns) in the order of `NAMES`; ``branch``: (designs,) place in `branches`."""

    table: Floats
    branch: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.table)

    def of(self, name: str) -> Floats:
        """One column."""
        return self.table[:, NAMES.index(name)]

    def at(self, name: str) -> Complexes:
        """A pin of the airframe, FS + 1j*WL: ``trunnion``, ``upper_pin`` or ``root``."""
        return np.asarray(self.of(f"{name}_fs") + 1j * self.of(f"{name}_wl"))

    def take(self, which: Any) -> Candidates:
        """Some of them, by index or mask."""
        return Candidates(self.table[which], self.branch[which])


def joined(parts: Sequence[Candidates]) -> Candidates:
    """All of them, in order."""
    table = [np.empty((0, len(NAMES))), *(p.table for p in parts)]
    return Candidates(np.concatenate(table), np.concatenate([np.empty(0, np.int64), *(p.branch for p in parts)]))


def wishes(study: Study) -> Wanted:
    """The table ``[wanted]`` of a study. Raises ``DocumentError`` where it has none."""
    if study.wanted is None:
        raise DocumentError([Fault("wanted", "is missing", "a table [wanted], in the study or in a file of its own")])
    return study.wanted


def branches(study: Study) -> tuple[Branch, ...]:
    """Every pair of ways in which leg and knee may fold."""
    w, gear = wishes(study), study.gear
    knees = w.knee_folds or (gear.brace.knee_folds,)
    return tuple(Branch(f, k) for f, k in itertools.product(w.folds or (gear.folds,), knees))


def variants_of(base: Study, candidates: Candidates) -> dict[str, Any]:
    """Document path -> array (designs,) or text, for `linkage.document.variants.varied`. All of one branch."""
    branch = branches(base)[int(candidates.branch[0])]
    on_leg = base.gear.actuator.pushes == "leg"
    pin = ("along", "offset") if on_leg else ("radius", "angle")
    out: dict[str, Any] = {PLACES[name]: candidates.of(name) for name in PLACES}
    out |= {
        f"gear.actuator.pin.{key}": candidates.of(f"pin_{n}") for key, n in zip(pin, ("first", "second"), strict=True)
    }
    out |= {"gear.folds": branch.folds, "gear.brace.knee_folds": branch.knee_folds}
    units = wishes(base).actuator.catalogue
    if units:
        which, actuator = candidates.of("unit").astype(int), base.gear.actuator
        # -1, no unit yet, takes the last row: the study's own actuator
        dead = [*(u.dead_length for u in units), actuator.dead_length]
        force = [*(u.max_force for u in units), actuator.max_force]
        out["gear.actuator.dead_length"] = np.array(dead)[which]
        out["gear.actuator.max_force"] = np.array(force)[which]
    return out


def study_of(base: Study, candidates: Candidates, i: int) -> dict[str, Any]:
    """Document path -> value of one candidate in inside units (mm, N, deg) or text; only what the study has otherwise.

    `linkage.document.write` turns them into the file's own units.
    """
    made = {
        field: v[0].item() if isinstance(v, np.ndarray) else v
        for field, v in variants_of(base, candidates.take([i])).items()
    }
    unit = int(candidates.of("unit")[i])
    if unit >= 0:
        made["gear.actuator.kind"] = wishes(base).actuator.catalogue[unit].name
    return {field: value for field, value in made.items() if value_at(base, field) != value}
