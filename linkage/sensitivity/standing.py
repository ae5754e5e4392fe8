"""Results on the ground: stance, load share, tip-back, CG, steer axis, forces of the locked brace."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.loading import Extreme
from linkage.loading.forms import Linear, mass_form, moment_form
from linkage.loads import brace_axial, stop_force
from linkage.loads.locked import locking_pair
from linkage.loads.statics import load_path
from linkage.plane.vectors import at, cross, dot
from linkage.results import Results
from linkage.sensitivity.loadings import Loaded, loadings
from linkage.sensitivity.model import Found, Rival
from linkage.sensitivity.seeded import Seeded
from linkage.stance.states import touch
from linkage.steering import ground_trail
from linkage.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class Static:
    """The drawn stance: axle, nose and main contact, unit vector aft along the ground, wheelbase and loaded radius."""

    axle: Any
    nose: Any
    main: Any
    along: Any
    wheelbase: Any
    radius: Any


def static(s: Seeded) -> Static:
    """The line through the main contact that touches the loaded nose wheel from below."""
    entry = s.study
    main = at(entry.airframe.main_gear.contact)
    radius: Any = entry.tyre.static_loaded_radius
    axle: Any = s.gear.pins["axle"].at - entry.strut.static_compression * s.gear.down
    nose = touch(axle, radius, main)
    base = abs(main - nose)
    return Static(axle, nose, main, (main - nose) / base, base, radius)


def standing(r: Results, s: Seeded, shift: Any) -> Iterator[Found]:
    """``shift``: of the moment by the retraction, FS, kg mm, with slopes."""
    ground, cg, cg_up, on = r.share.ground, r.share.cg, r.share.cg_up, static(s)
    yield Found("wheelbase_mm", "wheelbase along the ground", "mm", on.wheelbase)
    forms = _forms(r)

    def found(name: str, title: str, unit: str, extreme: Extreme, form: str, number: Callable[[Loaded], Any]) -> Found:
        least = "min" in name or name == "tip_back_deg"
        corners = loadings(r, s, extreme, forms[form], least)
        first, *others = (number(loaded) for loaded in corners.extreme)
        rivals = tuple(Rival(number(loaded), words) for loaded, words in corners.rivals)
        return Found(name, title, unit, first, corners.tied, str(extreme.case), tuple(others), rivals)

    def share(x: Loaded) -> Any:
        return dot(on.main - x.cg, on.along) / on.wheelbase

    def tip(x: Loaded) -> Any:
        return np.degrees(np.arctan2(dot(on.main - x.cg, on.along), cross(on.along, x.cg - on.main)))

    def load(x: Loaded) -> Any:
        return share(x) * x.mass * STANDARD_GRAVITY

    def station(x: Loaded) -> Any:
        return x.cg.real

    def station_up(x: Loaded) -> Any:
        return x.cg.real + shift / x.mass

    yield found("nose_share_min", "least nose share", "", ground.share_min, "share", share)
    yield found("nose_share_max", "greatest nose share", "", ground.share_max, "share", share)
    nose_load = found("nose_load_max_n", "greatest static nose load", "N", ground.nose_load_max, "load", load)
    yield nose_load
    yield found("tip_back_deg", "least tip-back angle", "deg", ground.tip_back_min, "tip", tip)
    yield found("cg_min_fs_mm", "CG forward, gear down", "mm", cg.forward, "cg", station)
    yield found("cg_max_fs_mm", "CG aft, gear down", "mm", cg.aft, "cg", station)
    yield found("cg_min_up_fs_mm", "CG forward, gear up", "mm", cg_up.forward, "cg up", station_up)
    yield found("cg_max_up_fs_mm", "CG aft, gear up", "mm", cg_up.aft, "cg up", station_up)
    yield from _steering(s, on)
    yield from _locked(r, s, on, nose_load)


def _forms(r: Results) -> dict[str, tuple[Linear, Linear | None]]:
    """Numerator and denominator whose ratio is at its extreme; None: the numerator alone."""
    model, stance = r.share.model, r.grounds[0].stance
    mass, ahead = mass_form(model), stance.to_main_form(model)
    return {
        "share": (ahead, mass * stance.wheelbase_mm),
        "load": (stance.nose_load_form(model), None),
        "tip": (ahead, stance.height_form(model)),
        "cg": (moment_form(model), mass),
        "cg up": (moment_form(model.gear_moved(r.moment_shift)), mass),
    }


def _steering(s: Seeded, on: Static) -> Iterator[Found]:
    tilt = s.gear.tilt
    phi = tilt + np.arctan2(on.along.imag, on.along.real)
    trail = ground_trail(on.radius, phi, s.study.gear.leg.axle_offset)
    yield Found("steer_axis_tilt_deg", "steer-axis tilt (top aft +)", "deg", np.degrees(tilt))
    yield Found("trail_mm", "trail, static", "mm", trail)


def _locked(r: Results, s: Seeded, on: Static, nose_load: Found) -> Iterator[Found]:
    """Of the brace in its lock, on the greatest static nose load."""
    path = load_path(s.study, s.gear)

    def push(name: str, load: Any) -> Any:
        condition = r.loads.of(name).condition
        wheel = condition.vertical.factor * load * complex(condition.fore_aft, 1.0) * on.along
        return brace_axial(path, on.axle, wheel)

    def press(load: Any) -> Any:
        return stop_force(*locking_pair(s.gear, path, push("aft load", load)))

    asked: tuple[tuple[str, str, Callable[[Any], Any]], ...] = (
        ("brace_force_aft_n", "brace force, aft load (compression +)", lambda x: push("aft load", x)),
        ("brace_force_forward_n", "brace force, forward load (compression +)", lambda x: push("forward load", x)),
        ("knee_stop_force_aft_n", "knee-stop force, aft load", press),
    )
    for key, title, number in asked:
        others = tuple(number(x) for x in nose_load.others)
        yield Found(key, title, "N", number(nose_load.number), nose_load.tied, "", others)
