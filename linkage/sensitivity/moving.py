"""Results of the moving gear: lock, ends of the stroke, actuator, push.

At an extreme inside the stroke the place on the way does not count (envelope theorem), so the place is closed in on by
exact rates; at an end of the stroke the end itself moves. Values are those of the pose table, as printed everywhere: it
holds an extreme inside the stroke to within its own step.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

import numpy as np

from linkage.gear import LEG
from linkage.mechanism.model import Floats
from linkage.mechanism.roots import closed_in
from linkage.plane.duals import Dual, value_of
from linkage.plane.vectors import cross, dot
from linkage.results import Results
from linkage.sensitivity.dimensions import Dimension
from linkage.sensitivity.model import Found, Rival
from linkage.sensitivity.seeded import Poses, Seeded, poses, seeded
from linkage.units import STANDARD_GRAVITY

TIED = 1e-9
"""Relative difference of two extremes that counts as none: rounding."""
BY_DRIVE = Dimension(None, "driven value", "", "", 1.0, 0.0, None, "", -1)
"""In place of all dimensions, where only the rate along the stroke is asked for."""
FLAT = "a brace without a knee: no over-centre offset"


Number = Callable[[Seeded, Poses], Any]
"""A result at every pose, with slopes."""


def moving(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    """``pace``: see `linkage.sensitivity.seeded.end_pace`."""
    yield from _lock(r, s)
    yield Found("leg_swing_deg", "leg swing", "deg", np.degrees(s.gear.swing_up * 1.0))
    yield Found("driven_rotation_deg", "driven rotation", "deg", np.degrees(Dual(r.stroke.driven_up, pace)))
    ends = poses(s, [0.0, r.stroke.driven_up], np.array([0.0 * pace, pace]))
    wheel, length = ends.point(s.gear.pins["axle"])[1], _length(s, ends)
    yield Found("wheel_up_fs_mm", "axle with the gear up, FS", "mm", wheel.real)
    yield Found("wheel_up_wl_mm", "axle with the gear up, WL", "mm", wheel.imag)
    yield Found("actuator_length_down_mm", "actuator length, gear down", "mm", length[0])
    yield Found("actuator_length_up_mm", "actuator length, gear up", "mm", length[1])
    yield Found("cg_shift_on_retraction_kg_mm", "CG moment shift on retraction", "kg mm", _shift(s, ends))
    yield from _extremes(r, s, pace)


def _extremes(r: Results, s: Seeded, pace: Floats) -> Iterator[Found]:
    lean, length, push = r.stroke.transmission, r.stroke.actuator_length, r.actuation.push[0]
    lows = partial(_lows, r, s, seeded(r.study, s.plain, (BY_DRIVE,)), pace)
    angles = _each(lows(lean, _transmission), np.degrees)
    yield _extreme("transmission_angle_min_deg", "least transmission angle", "deg", angles, _tie(r, lean, "least"))
    short, long = lows(length, _length), _each(lows(-length, _longest), np.negative)
    told = max(_tie(r, length, "shortest"), _tie(r, -length, "longest"))  # a tie before a next place, that before none
    pairs = [(near, far, f"{near.which} and {far.which}") for near in short for far in long]
    strokes = [Rival(far.number - near.number, which) for near, far, which in pairs]
    left = [Rival(2.0 * near.number - far.number, which) for near, far, which in pairs]
    yield _extreme("actuator_stroke_mm", "actuator stroke", "mm", strokes, told)
    yield _extreme("actuator_dead_length_mm", "actuator dead length", "mm", left, told)
    if s.gear.masses and np.isfinite(push).any():
        pulls, told = lows(-push, _pull), _tie(r, -push, "greatest")
        for n in (1, 2):
            peaks = _each(pulls, partial(np.multiply, -float(n)))
            yield _extreme(f"actuator_push_peak_{n}g_n", f"peak push of the actuator, {n} g", "N", peaks, told)


def _each(rivals: Sequence[Rival], change: Callable[[Any], Any]) -> list[Rival]:
    return [Rival(change(x.number), x.which) for x in rivals]


def _extreme(name: str, title: str, unit: str, places: Sequence[Rival], told: tuple[str, str]) -> Found:
    """The first place is the extreme; ``told``: whether others tie with it, and which is next."""
    first, *others = places
    near = TIED * max(1.0, abs(float(value_of(first.number))))
    ties = [told[0] != "" and abs(float(value_of(x.number - first.number))) <= near for x in others]
    tied = tuple(x.number for x, tie in zip(others, ties, strict=True) if tie)
    rivals = tuple(x for x, tie in zip(others, ties, strict=True) if not tie)
    return Found(name, title, unit, first.number, *told, tied, rivals)


def _lows(r: Results, s: Seeded, alone: Seeded, pace: Floats, values: Floats, number: Number) -> list[Rival]:
    """Every low of the values over the poses, the least first, with the slopes of the true low beside it. ``alone``: by
    the driven value only."""
    found = []
    for row in _low_rows(values):
        place, up = float(r.stroke.driven[row]), r.stroke.driven_up
        moved = place / up  # a row where no rate tells more keeps its part of the stroke
        if 0 < row < len(values) - 1 and (inside := _closed_in(alone, r.stroke.driven, row, number)) is not None:
            place, moved = inside, 0.0
        true = number(s, poses(s, [place], moved * pace[None]))[0]
        found.append(Rival(Dual(values[row], true.slope), f"{np.degrees(r.stroke.swing[row]) + 0.0:.1f} deg swing"))
    return found


def _low_rows(values: Floats) -> list[int]:
    """Poses at which the values are no greater than beside them, the least first; none beside the least."""
    known = np.where(np.isfinite(values), values, np.inf)
    best = int(known.argmin())
    padded = np.concatenate([[np.inf], known, [np.inf]])
    lows = np.flatnonzero((known <= padded[:-2]) & (known <= padded[2:]) & np.isfinite(known))
    return [best, *sorted((int(i) for i in lows if abs(i - best) > 1), key=lambda i: float(known[i]))]


def _closed_in(alone: Seeded, driven: Floats, row: int, number: Number) -> float | None:
    """Driven rotation between the neighbours of a row at which the rate of the number rises through nought."""

    def rate(driven: Floats) -> Floats:
        return np.asarray(number(alone, poses(alone, driven, np.ones((len(driven), 1)))).slope[:, 0])

    ends = driven[row - 1 : row], driven[row + 1 : row + 2]
    low, high = (rate(x) for x in ends)
    return float(closed_in(rate, *ends, low, high)[0]) if low[0] < 0.0 < high[0] else None


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


def _length(s: Seeded, at: Poses) -> Any:
    return abs(at.point(s.gear.pins["actuator pin"]) - at.point(s.gear.pins["actuator root"]))


def _longest(s: Seeded, at: Poses) -> Any:
    return -_length(s, at)


def _pull(s: Seeded, at: Poses) -> Any:
    """Minus the push at 1 g: work of the weights over the rate of the actuator's length."""
    root, pin = s.gear.pins["actuator root"], s.gear.pins["actuator pin"]
    line = at.point(pin) - at.point(root)
    rate = dot(line, at.velocity(pin) - at.velocity(root)) / abs(line)
    work: Any = sum(at.velocity(m.at).imag * (m.kg * STANDARD_GRAVITY) for m in s.gear.masses)
    return -work / rate


def _shift(s: Seeded, at: Poses) -> Any:
    """Of the two ends of the stroke."""
    zero = Dual(0.0, np.zeros(s.inputs))
    paths = [(m.kg, at.point(m.at)) for m in s.gear.masses]
    return sum(((path[1] - path[0]).real * kg for kg, path in paths), zero)


def _tie(r: Results, values: Floats, word: str) -> tuple[str, str]:
    """Why the least of the values over the poses has no derivative, another place being as low; and where the next
    place is, at which the least may be after a change."""
    best, *others = _low_rows(values)
    if not others:
        return "", ""
    apart = float(values[others[0]] - values[best])
    one, two = (np.degrees(r.stroke.swing[i]) + 0.0 for i in (best, others[0]))
    if apart > TIED * max(1.0, abs(float(values[best]))):
        return "", f"{word} at {one:.1f} deg swing, next at {two:.1f} deg"
    return f"two places tie within {apart:.2g} for the {word}: {one:.1f} and {two:.1f} deg swing", ""
