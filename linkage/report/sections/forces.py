"""Ground loads and actuator. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

from typing import Any

from linkage.loads import LockedLoad
from linkage.results import Results


def load(load: LockedLoad) -> dict[str, Any]:
    """One reference load on the locked gear: forces in N as (FS, WL), limit."""
    c = load.condition
    return {
        "condition": c.name,
        "rule": c.source,
        "level": "limit",
        "point": c.at,
        "wheel_n": load.wheel,
        "brace_axial_compression_n": load.brace,
        "knee_stop_n": load.stop,
        "knee_stop_couple_nmm": load.stop_couple,
        "trunnion_on_airframe_n": load.trunnion,
        "upper_pin_on_airframe_n": load.upper_pin,
    }


def actuation(r: Results) -> dict[str, Any]:
    """Push of the actuator over the stroke against weight alone, N, a curve for each load factor."""
    a = r.actuation
    return {
        "load_factors": list(a.load_factors),
        "push_n": {f"{n:g} g": row for n, row in zip(a.load_factors, a.push, strict=True)},
        "two_roads_relative_difference": a.disagreement,
        "covers": "weight of the moving parts only",
    }
