"""The other road to every derivative: the whole chain solved again at changed dimensions, and Richardson's
extrapolation of central differences (Burden and Faires, Numerical Analysis, 4.2; from memory)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from scipy.optimize import minimize_scalar

from linkage.actuation import actuation, moment_shift, weights
from linkage.clearance import Gap, in_space, lateral_gap
from linkage.document.study import Study
from linkage.document.variants import value_at, varied
from linkage.gear import Gear, build
from linkage.loading import load_share
from linkage.loading.entry import load_model
from linkage.loads.locked import reference_loads
from linkage.loads.statics import load_path
from linkage.mechanism.model import Floats
from linkage.mechanism.statics import effort_by_work
from linkage.obstacles import obstacles
from linkage.plane.outlines import shapes_of
from linkage.sensitivity import Dimension
from linkage.stance import grounds
from linkage.steering import steering
from linkage.stroke import Stroke, motion_at
from linkage.stroke.table import run
from linkage.tracks import core_at

STEP = {"length": 0.05, "angle": 0.05, "mass": 0.5}
"""Widest step, mm, deg, kg; halved and halved again."""


def measured(study: Study, folder: Path, pairs: Sequence[tuple[str, Gap]] = ()) -> dict[str, float]:
    """Every result by the functions that solve a study, in the units of the headline. ``pairs``: result and pair whose
    least gap it is."""
    gear = build(study)
    stroke = run(gear, study.stroke.poses)
    stances = grounds(study, gear)
    share = load_share(load_model(study), stances[0].stance, (0.0, 1.0), moment_shift(gear, stroke))
    ground, steer, deg = share.ground, steering(study, gear), math.degrees
    loads = reference_loads(study, gear, load_path(study, gear), stances[0], ground.nose_load_max.value)
    held = {x.condition.name: x for x in loads}
    push = actuation(study, gear, stroke)
    length = stroke.actuator_length
    shortest = _least(gear, stroke, length, _length)
    longest = -_least(gear, stroke, -length, lambda g, q: -_length(g, q))
    peak = -_least(gear, stroke, -push.push[0], _pull)
    wheel = stroke.pins["axle"][-1]
    out = {
        "over_centre_mm": gear.brace.over_centre,
        "over_centre_deg": deg(gear.brace.over_centre_angle),
        "dead_centre_overswing_deg": deg(_overswing(gear)),
        "leg_swing_deg": deg(float(stroke.swing[-1])),
        "driven_rotation_deg": deg(stroke.driven_up),
        "wheel_up_fs_mm": float(wheel.real),
        "wheel_up_wl_mm": float(wheel.imag),
        "transmission_angle_min_deg": deg(_least(gear, stroke, stroke.transmission, _lean)),
        "actuator_length_down_mm": float(length[0]),
        "actuator_length_up_mm": float(length[-1]),
        "actuator_stroke_mm": longest - shortest,
        "actuator_dead_length_mm": 2 * shortest - longest,
        "actuator_push_peak_1g_n": peak,
        "actuator_push_peak_2g_n": 2 * peak,
        "cg_shift_on_retraction_kg_mm": moment_shift(gear, stroke).real,
        "wheelbase_mm": stances[0].wheelbase,
        "nose_share_min": ground.share_min.value,
        "nose_share_max": ground.share_max.value,
        "nose_load_max_n": ground.nose_load_max.value,
        "tip_back_deg": deg(ground.tip_back_min.value),
        "cg_min_fs_mm": share.cg.forward.value,
        "cg_max_fs_mm": share.cg.aft.value,
        "cg_min_up_fs_mm": share.cg_up.forward.value,
        "cg_max_up_fs_mm": share.cg_up.aft.value,
        "steer_axis_tilt_deg": deg(steer.tilt),
        "trail_mm": steer.state("static").trail,
        "brace_force_aft_n": held["aft load"].brace,
        "brace_force_forward_n": held["forward load"].brace,
        "knee_stop_force_aft_n": held["aft load"].stop,
    }
    if gear.lock_link is not None:
        out["lock_link_over_centre_mm"] = gear.lock_link.over_centre
        out["lock_link_over_centre_deg"] = deg(gear.lock_link.over_centre_angle)
    for name, gap in pairs:
        out[name] = _gap(study, folder, gap)
    return out


def _least(gear: Gear, stroke: Stroke, values: Floats, at: Callable[[Gear, Floats], Floats]) -> float:
    """The least over the stroke: the table's, or where that lies inside, what scipy finds between its neighbours."""
    row = int(np.nanargmin(values))
    if not 0 < row < len(values) - 1:
        return float(values[row])
    bounds = (stroke.driven[row - 1], stroke.driven[row + 1])
    found = minimize_scalar(lambda x: float(at(gear, np.array([x]))[0]), bounds=bounds, options={"xatol": 1e-10})
    return float(found.fun)


def _length(gear: Gear, driven: Floats) -> Floats:
    motion, root, pin = motion_at(gear, driven, 0), gear.pins["actuator root"], gear.pins["actuator pin"]
    return np.asarray(np.abs(motion.point(pin.body, pin.at)[0] - motion.point(root.body, root.at)[0]))


def _lean(gear: Gear, driven: Floats) -> Floats:
    motion = motion_at(gear, driven, 0)
    places = [motion.point(gear.pins[n].body, gear.pins[n].at)[0] for n in (*gear.thrust_line, "lug", "trunnion")]
    sine = np.imag((places[1] - places[0]).conj() * (places[2] - places[3]))
    return np.asarray(np.arcsin(np.abs(sine / ((places[1] - places[0]) * (places[2] - places[3])))))


def _pull(gear: Gear, driven: Floats) -> Floats:
    motion = motion_at(gear, driven, 1)
    return -effort_by_work(gear.mechanism, motion, weights(gear, 1.0), gear.effort_at)[0]


def _gap(study: Study, folder: Path, gap: Gap) -> float:
    """Least gap in space of a pair, by scipy's bounded search about the place where it was found."""
    gear = build(study)
    up = run(gear, 11).driven_up
    part = next(p for p in gear.parts if p.name == gap.part)
    item = next((o for o in obstacles(study, folder) if o.name == gap.item), None)
    other = next((p for p in gear.parts if p.name == gap.item), None)
    lines = item.butt_lines if item is not None else other.butt_lines if other is not None else ()
    lateral = lateral_gap(part.butt_lines, lines)

    def side(driven: Floats) -> Floats:
        own = shapes_of(core_at(gear, part)(driven), part.closed)
        if item is not None:
            return np.asarray(shapely.distance(own, item.shape) - part.radius - item.radius)
        assert other is not None
        far = shapes_of(core_at(gear, other)(driven), other.closed)
        return np.asarray(shapely.distance(own, far) - part.radius - other.radius)

    grid = np.array([up]) if item is not None and item.stowed_only else np.linspace(0.0, up, 721)
    known = side(grid)
    i = int(known.argmin())
    least = float(known[i])
    if 0 < i < len(grid) - 1:
        found = minimize_scalar(
            lambda x: float(side(np.array([x]))[0]), bounds=(grid[i - 1], grid[i + 1]), options={"xatol": 1e-10}
        )
        least = min(least, float(found.fun))
    return float(in_space(lateral, least))


def _overswing(gear: Gear) -> float:
    """Law of cosines at the trunnion: the brace straight against the brace as locked."""
    if not gear.brace.has_knee:
        return 0.0
    base, arm = (abs(gear.pins[name].at - gear.pins["trunnion"].at) for name in ("upper pin", "lug"))
    straight, locked = gear.brace.upper_link + gear.brace.lower_link, gear.brace.span
    one, other = (math.acos((base**2 + arm**2 - span**2) / (2 * base * arm)) for span in (straight, locked))
    return one - other


def along(study: Study, ways: Mapping[Dimension, float], ask: Callable[[Study], dict[str, float]]) -> dict[str, float]:
    """Derivative of every result when all the dimensions move together, each so many inside units per step."""
    rows = []
    for h in (1.0, 0.5, 0.25):
        up, down = (ask(moved(study, ways, sign * h)) for sign in (1.0, -1.0))
        rows.append({name: (up[name] - down[name]) / (2 * h) for name in up})
    for k in (1, 2):
        rows = [{n: (4**k * b[n] - a[n]) / (4**k - 1) for n in a} for a, b in pairwise(rows)]
    return rows[0]


def moved(study: Study, ways: Mapping[Dimension, float], part: float) -> Study:
    """The study with every dimension changed."""
    changes: dict[str, float] = {}
    for dim, way in ways.items():
        for path in _paths(study, dim):
            changes[path] = changes.get(path, float(value_at(study, path))) + part * way
    return varied(study, changes)


def _paths(study: Study, dim: Dimension) -> Iterator[str]:
    """Where the study holds the numbers of a dimension: of a shift, every corner of the item."""
    if dim.path is not None:
        yield dim.path
        return
    axis, item = 0 if dim.shift.real else 1, f"bay.item[{dim.item}]"
    for key in ("outline", "stay_above", "centre"):
        place = value_at(study, f"{item}.{key}")
        if key == "centre" and place is not None:
            yield f"{item}.centre[{axis}]"
        elif place is not None:
            yield from (f"{item}.{key}[{i}][{axis}]" for i in range(len(place)))
