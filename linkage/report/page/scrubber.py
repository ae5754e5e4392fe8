"""The pose table behind the scrubber: where every part is, the numbers of that pose, and the bay that stands still."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from linkage.drawing.gear_scene import view_window
from linkage.obstacles import Obstacle
from linkage.results import Results
from linkage.tracks import core_at, in_state

STEPS = 90
COARSE = 0.3
"""mm by which outlines on the page may be simplified; they are pictures, not the keep-out."""


def scrubber(r: Results) -> dict[str, Any]:
    """Points are rounded to 0.01 mm. ``rows``: one list of numbers a pose, in the order of ``columns``."""
    pick = np.unique(np.linspace(0, len(r.stroke.driven) - 1, STEPS + 1).astype(int))
    driven = r.stroke.driven[pick]
    parts = []
    for part in (in_state(p, r.gear, 0.0) for p in r.gear.parts):
        core = core_at(r.gear, part)(driven)
        xy = np.round(np.stack([core.real, core.imag], axis=-1), 2)
        parts.append(
            {"name": part.name, "radius": part.radius, "closed": part.closed, "poses": xy.reshape(len(pick), -1)}
        )
    return {
        "window": view_window(r),
        "parts": parts,
        "bay": [_drawn(o) for o in r.obstacles],
        "keep_out": _rings(r.swept.keep_out.side_view),
        "columns": [{"name": n, "unit": u, "decimals": d} for n, u, d, _ in _columns(r)],
        "rows": np.stack([values[pick] for *_, values in _columns(r)], axis=1),
        "tightest": [" to ".join(r.clearance.tightest[i]) for i in pick] if r.clearance.tightest else [],
    }


def _columns(r: Results) -> list[tuple[str, str, int, Any]]:
    s = r.stroke
    return [
        ("leg swing", "deg", 1, np.degrees(s.swing)),
        ("driven link", "deg", 1, np.degrees(s.driven)),
        ("actuator length", "mm", 1, s.actuator_length),
        ("actuator push at 1 g", "N", 0, r.actuation.push[0]),
        ("knee over centre", "mm", 1, s.knee_offset),
        ("transmission angle", "deg", 1, np.degrees(s.transmission)),
        ("least margin to the bay", "mm", 2, r.clearance.curve),
    ]


def _drawn(o: Obstacle) -> dict[str, Any]:
    kind = "hot" if o.hot else "engine" if o.with_engine else "bay"
    if o.line:
        return {"name": o.name, "kind": "line", "rings": [[[z.real, z.imag] for z in o.line]]}
    shape = o.shape.buffer(o.radius) if o.radius > 0 else o.shape
    return {"name": o.name, "kind": kind, "rings": _rings(shape)}


def _rings(shape: Any) -> list[Any]:
    rings = []
    for polygon in shapely.get_parts(shapely.simplify(shape, COARSE)):
        rings += [np.round(shapely.get_coordinates(ring), 2) for ring in (polygon.exterior, *polygon.interiors)]
    return rings
