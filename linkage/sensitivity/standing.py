"""Results on the ground: stance, load share, tip-back, steer axis, forces of the locked brace.

The extreme loadings are corners of the loading region, and stay so for small changes: a mass at one of its limits
follows that limit, one that is cut off by a limit of the whole follows that (docs/theory-sensitivity.md).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import Any

import numpy as np

from linkage.loading import Extreme
from linkage.loading.choices import choices, fill
from linkage.loading.forms import Linear, mass_form, moment_form
from linkage.loading.model import LoadModel, rounding
from linkage.loads import brace_axial, stop_force
from linkage.loads.locked import locking_pair
from linkage.loads.statics import load_path
from linkage.mechanism.model import Floats
from linkage.plane.duals import value_of
from linkage.plane.vectors import at, cross, dot
from linkage.results import Results
from linkage.sensitivity.model import Found
from linkage.sensitivity.seeded import Seeded
from linkage.stance.states import touch
from linkage.steering import ground_trail
from linkage.units import STANDARD_GRAVITY

TIED = 1e-12
"""Part of a moment by which two loadings may differ and still count as the same extreme: rounding."""


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


def standing(r: Results, s: Seeded) -> Iterator[Found]:
    ground, cg, on = r.share.ground, r.share.cg, static(s)
    yield Found("wheelbase_mm", "wheelbase along the ground", "mm", on.wheelbase)
    forms = _forms(r)

    def found(name: str, title: str, unit: str, extreme: Extreme, form: str, number: Callable[[Loaded], Any]) -> Found:
        least = "min" in name or name == "tip_back_deg"
        loadings, tied = _loadings(r, s, extreme, forms[form], least)
        first, *others = (number(loaded) for loaded in loadings)
        return Found(name, title, unit, first, tied, str(extreme.case), tuple(others))

    def share(x: Loaded) -> Any:
        return dot(on.main - x.cg, on.along) / on.wheelbase

    def tip(x: Loaded) -> Any:
        return np.degrees(np.arctan2(dot(on.main - x.cg, on.along), cross(on.along, x.cg - on.main)))

    def load(x: Loaded) -> Any:
        return share(x) * x.mass * STANDARD_GRAVITY

    def station(x: Loaded) -> Any:
        return x.cg.real

    yield found("nose_share_min", "least nose share", "", ground.share_min, "share", share)
    yield found("nose_share_max", "greatest nose share", "", ground.share_max, "share", share)
    nose_load = found("nose_load_max_n", "greatest static nose load", "N", ground.nose_load_max, "load", load)
    yield nose_load
    yield found("tip_back_deg", "least tip-back angle", "deg", ground.tip_back_min, "tip", tip)
    yield found("cg_min_fs_mm", "CG forward, gear down", "mm", cg.forward, "cg", station)
    yield found("cg_max_fs_mm", "CG aft, gear down", "mm", cg.aft, "cg", station)
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
    }


@dataclass(frozen=True)
class Loaded:
    """CG (FS + 1j*WL, mm) and mass (kg) of a loading, with slopes."""

    cg: Any
    mass: Any


def _loadings(
    r: Results, s: Seeded, found: Extreme, forms: tuple[Linear, Linear | None], least: bool
) -> tuple[list[Loaded], str]:
    """The loading at the extreme, then those that tie with it, and what ties."""
    model, kg = r.share.model, [m for _, m in found.case.masses]
    numerator, denominator = forms
    goal = numerator
    if denominator is not None:
        goal = numerator - denominator * (numerator.at(kg) / denominator.at(kg))
    weights = np.array((-goal if least else goal).weights)
    follows, met = _masses(s, model, kg, weights)
    others, tied = _others(model, kg, weights)
    for other in others:
        follows += _masses(s, model, other, weights)[0]
    return [_loaded(s, model, masses) for masses in follows], met or tied


def _loaded(s: Seeded, model: LoadModel, masses: list[Any]) -> Loaded:
    entry = s.study.loading
    kg, place = _empty(s, model)
    total = sum(masses, kg * 1.0)
    moment = sum((m * at(i.at) for m, i in zip(masses, entry.item, strict=True)), kg * place)
    return Loaded(moment / total, total)


def _empty(s: Seeded, model: LoadModel) -> tuple[Any, Any]:
    """A weighed mass is taken as it is."""
    entry = s.study.loading.empty
    if entry is None:
        return model.empty_kg, complex(model.empty_fs_mm, model.empty_wl_mm)
    return entry.mass, at(entry.at)


def _masses(s: Seeded, model: LoadModel, kg: list[float], weights: Floats) -> tuple[list[list[Any]], str]:
    """Masses with slopes: each follows its own limit, or one of the whole. Where both meet there are two ways."""
    entry, slack = s.study.loading, rounding(model.mass_cap_kg)
    out: list[Any] = []
    for item, mass in zip(entry.item, kg, strict=True):
        near = [bound for bound in (item.min, item.max) if abs(mass - value_of(bound)) <= slack]
        out.append(near[0] if near else None if mass > slack else 0.0)
    met: list[tuple[Any, list[int]]] = []
    for cap, counted in _caps(s, model, kg, slack):
        cut = [i for i in counted if out[i] is None]
        if cut:
            out[cut[0]] = _rest(s, model, cap, counted, out, cut[0])
        else:
            met.append((cap, counted))
    ways = [out]
    for cap, counted in met:
        full = [i for i in counted if kg[i] > 0.0 and model.items[i].max_kg > model.items[i].min_kg]
        if full:
            last = min(full, key=lambda i: float(weights[i]))
            ways.append([*out[:last], _rest(s, model, cap, counted, out, last), *out[last + 1 :]])
    return ways, "a limit of one item and a limit of the whole mass meet" if len(ways) > 1 else ""


def _caps(s: Seeded, model: LoadModel, kg: list[float], slack: float) -> Iterator[tuple[Any, list[int]]]:
    """Limits of the whole mass that are reached, and the items each counts; payload first."""
    entry, every = s.study.loading, list(range(len(kg)))
    payload = [i for i in every if model.items[i].kind != "fuel"]
    for cap, counted in ((entry.max_zero_fuel_mass, payload), (entry.max_mass, every), (entry.min_mass, every)):
        reached = model.empty_kg + sum(kg[i] for i in counted)
        if cap is not None and abs(reached - value_of(cap)) <= slack:
            yield cap, counted


def _rest(s: Seeded, model: LoadModel, cap: Any, counted: list[int], out: list[Any], own: int) -> Any:
    """What the others leave of a limit."""
    return cap - sum((out[j] for j in counted if j != own), _empty(s, model)[0] * 1.0)


def _others(model: LoadModel, kg: list[float], weights: Floats) -> tuple[list[list[float]], str]:
    """Other loadings that are as extreme: of another choice of what is aboard, or by an exchange of two masses."""
    rows = choices(model)
    size = float(np.abs(weights * np.maximum(kg, 1.0)).max())
    loaded = rows.low + fill(rows, np.argsort(-weights, kind="stable"), weights > 0.0)
    level = loaded @ weights
    apart = np.abs(loaded - np.array(kg)).max(axis=1)
    same = np.flatnonzero((level >= level.max() - TIED * size) & (apart > 1e-9 * model.mass_cap_kg))
    out = [[float(m) for m in loaded[i]] for i in same]
    tied = "two loadings tie: another choice of what is aboard is as extreme" if out else ""
    for i, j in permutations(range(len(kg)), 2):
        one, two = model.items[i], model.items[j]
        moved = min(kg[i] - one.min_kg, two.max_kg - kg[j]) if kg[i] > 0.0 and kg[j] > 0.0 else 0.0
        if one.kind == two.kind and moved > 1e-9 and abs(weights[i] - weights[j]) <= TIED * size:
            swapped = list(kg)
            swapped[i], swapped[j] = kg[i] - moved, kg[j] + moved
            out.append(swapped)
            tied = tied or f"two loadings tie: {one.name} and {two.name} may be exchanged"
    return out, tied


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
