"""Results of the moving gear: lock, ends of the stroke, actuator, push.

Extremes over the stroke are those of the pose table, whose rows sit at fixed parts of the driven rotation: a row moves
with the end of the stroke, and that is in the slopes. At an extreme inside the stroke this part fades as the table gets
finer (envelope theorem); at the end of the stroke it is whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from linkage.gear import LEG
from linkage.mechanism.model import Floats
from linkage.plane.duals import Dual, value_of
from linkage.plane.vectors import cross, dot
from linkage.results import Results
from linkage.sensitivity.model import Found
from linkage.sensitivity.seeded import Poses, Seeded, poses
from linkage.units import STANDARD_GRAVITY

TIED = 1e-9
"""Relative difference of two extremes that counts as none: rounding."""
FLAT = "a brace without a knee: no over-centre offset"


def moving(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    """``pace``: see `linkage.sensitivity.seeded.end_pace`."""
    yield from _lock(r, s)
    yield Found("leg_swing_deg", "leg swing", "deg", np.degrees(s.gear.swing_up * 1.0))
    yield Found("driven_rotation_deg", "driven rotation", "deg", np.degrees(Dual(r.stroke.driven_up, pace)))
    lean, length = r.stroke.transmission, r.stroke.actuator_length
    push = r.actuation.push[0]
    rows = [0, len(length) - 1, int(lean.argmin()), int(length.argmin()), int(length.argmax())]
    rows += [int(np.nanargmax(push))] if np.isfinite(push).any() else []
    part = r.stroke.driven[rows] / r.stroke.driven_up
    at = poses(s, r.stroke.driven[rows], part[:, None] * pace)
    wheel = at.point(s.gear.pins["axle"])[1]
    yield Found("wheel_up_fs_mm", "axle with the gear up, FS", "mm", wheel.real)
    yield Found("wheel_up_wl_mm", "axle with the gear up, WL", "mm", wheel.imag)
    least = _transmission(s, at)[2]
    yield Found(
        "transmission_angle_min_deg", "least transmission angle", "deg", np.degrees(least), _tie(r, lean, "least")
    )
    yield from _actuator(r, s, at)
    yield Found("cg_shift_on_retraction_kg_mm", "CG moment shift on retraction", "kg mm", _shift(s, at))


def _lock(r: Results, s: Seeded) -> Iterator[Found]:
    none = Dual(0.0, np.zeros(s.inputs))
    for name, title, shape in (("", "", s.gear.brace), ("lock_link_", "of the lock links", s.gear.lock_link)):
        if shape is None:
            continue
        knee = shape.has_knee
        offset, angle = (shape.over_centre, shape.over_centre_angle) if knee else (none, none)
        tied = "" if knee else FLAT
        what = f"over-centre offset {title}".strip()
        yield Found(f"{name}over_centre_mm", what, "mm", offset * 1.0, tied)
        yield Found(f"{name}over_centre_deg", what.replace("offset", "angle"), "deg", np.degrees(angle), tied)
    if r.stroke.dead_centres:
        # the leg turns back there, so its swing does not feel where on the way that is
        turned = poses(s, [r.stroke.dead_centre]).turned(LEG)[0]
        number = Dual(r.stroke.overswing, -s.plain.leg_sense * turned)
        yield Found("dead_centre_overswing_deg", "leg over-swing at dead centre", "deg", np.degrees(number))
    else:
        yield Found("dead_centre_overswing_deg", "leg over-swing at dead centre", "deg", none, "no dead centre")


def _transmission(s: Seeded, at: Poses) -> Any:
    pins = {name: at.point(s.gear.pins[name]) for name in (*s.gear.thrust_line, "lug", "trunnion")}
    near, far = (pins[name] for name in s.gear.thrust_line)
    link, leg = far - near, pins["lug"] - pins["trunnion"]
    lean = abs(np.arctan2(cross(link, leg), dot(link, leg)))
    return np.where(value_of(lean) > np.pi / 2, np.pi - lean, lean)


def _actuator(r: Results, s: Seeded, at: Poses) -> Iterator[Found]:
    root, pin = s.gear.pins["actuator root"], s.gear.pins["actuator pin"]
    line = at.point(pin) - at.point(root)
    length = abs(line)
    lengths = r.stroke.actuator_length
    shortest, longest = length[3], length[4]
    ties = (_tie(r, lengths, "least"), _tie(r, -lengths, "greatest"))
    tied = ties[0] or ties[1]
    yield Found("actuator_length_down_mm", "actuator length, gear down", "mm", length[0])
    yield Found("actuator_length_up_mm", "actuator length, gear up", "mm", length[1])
    yield Found("actuator_stroke_mm", "actuator stroke", "mm", longest - shortest, tied)
    dead = shortest - (longest - shortest)
    yield Found("actuator_dead_length_mm", "actuator dead length", "mm", dead, tied)
    if len(length.value) > 5 and s.gear.masses:
        rate = dot(line, at.velocity(pin) - at.velocity(root)) / length
        work: Any = sum(at.velocity(m.at).imag * (m.kg * STANDARD_GRAVITY) for m in s.gear.masses)
        push = (work / rate)[5]
        tie = _tie(r, -r.actuation.push[0], "greatest")
        for n in (1, 2):
            title = f"peak push of the actuator, {n} g"
            yield Found(f"actuator_push_peak_{n}g_n", title, "N", push * float(n), tie)


def _shift(s: Seeded, at: Poses) -> Any:
    """Rows 0 and 1 are the ends of the stroke."""
    zero = Dual(0.0, np.zeros(s.inputs))
    paths = [(m.kg, at.point(m.at)) for m in s.gear.masses]
    return sum(((path[1] - path[0]).real * kg for kg, path in paths), zero)


def _tie(r: Results, values: Floats, word: str) -> str:
    """Why the least of the values over the poses has no derivative: another place is as low."""
    known = np.where(np.isfinite(values), values, np.inf)
    best = int(known.argmin())
    padded = np.concatenate([[np.inf], known, [np.inf]])
    lows = np.flatnonzero((known <= padded[:-2]) & (known <= padded[2:]) & np.isfinite(known))
    others = [int(i) for i in lows if abs(i - best) > 1]
    if not others:
        return ""
    other = min(others, key=lambda i: float(known[i]))
    apart = float(known[other] - known[best])
    if apart > TIED * max(1.0, abs(float(known[best]))):
        return ""
    one, two = (np.degrees(r.stroke.swing[i]) for i in (best, other))
    return f"two places tie within {apart:.2g} for the {word}: {one:.1f} and {two:.1f} deg swing"
