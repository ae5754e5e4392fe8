"""Steps to which numbers are rounded while a pin is moved, in the units of the study itself."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from linkage.document.write import Manner, Raw, manner

FINE = {"mm": 0.01, "cm": 0.001, "m": 1e-5, "in": 0.001, "ft": 1e-4, "deg": 0.01, "rad": 1e-4}
"""What can still be written on a drawing; every number that a move changes is rounded to it."""

STEP = {"mm": 1.0, "cm": 0.1, "m": 0.001, "in": 0.05, "ft": 0.005, "deg": 0.5, "rad": 0.01}
GRID = {"mm": 10.0, "cm": 1.0, "m": 0.01, "in": 0.5, "ft": 0.05, "deg": 5.0, "rad": 0.1}

SMALL = ("over_centre",)
"""Fields so small that the grid would leave nothing of them: half a step at most."""


class Snap(StrEnum):
    """To what a moved pin's own numbers are rounded."""

    OFF = "no snap"
    STEP = "snap to step"
    GRID = "snap to grid"


def step_of(unit: str, field: str, snap: Snap, own: bool) -> float:
    """Step of a field in its unit."""
    if snap is Snap.OFF or not own:
        return FINE[unit]
    if field.rpartition(".")[2] in SMALL:
        return STEP[unit] / 2
    return (STEP if snap is Snap.STEP else GRID)[unit]


def kind_of(field: str) -> str:
    return "angle" if field.rpartition(".")[2] in ("angle", "tilt") else "length"


def rounded(
    table: Mapping[str, Any], fields: Mapping[str, float], snap: Snap, own: bool
) -> tuple[dict[str, float], dict[str, Raw]]:
    """Fields in inside units rounded to steps of the study's own units: what the reader makes of them, and as the file
    writes them."""
    inside: dict[str, float] = {}
    raw: dict[str, Raw] = {}
    for field, value in fields.items():
        way: Manner = manner(table, field, kind_of(field))
        raw[field] = way.raw(value, step_of(way.unit, field, snap, own))
        inside[field] = way.inside(raw[field])
    return inside, raw


def nudge(units: Any, snap: Snap) -> float:
    """mm by which an arrow key moves a pin: a step, or ten times what is fine where nothing snaps."""
    unit = units.length
    size = {Snap.OFF: 10 * FINE[unit], Snap.STEP: STEP[unit], Snap.GRID: GRID[unit]}[snap]
    return float(size * units.factor("length"))
