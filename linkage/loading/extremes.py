"""Exact extremes of ratios of linear functions over every loading, each with the loading that causes it.

The least and greatest ratio over the union of polytopes is found by Dinkelbach's step (Management Science
13, 1967, from memory): for the best ratio so far, maximise numerator - ratio x denominator (one greedy pass
over all choices, see ``choices``), take the ratio there, repeat until it no longer grows. Every step lands
on a corner and there are finitely many, so the stop is exact and no tolerance is involved. Second roads in
the tests: the Charnes-Cooper linear programme with ``scipy.optimize.linprog``, and the enumeration of all
corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from linkage.errors import DocumentError, Fault
from linkage.loading.choices import FloatArray, Rows, choices, fill
from linkage.loading.forms import Linear, Stance2, constant_form, mass_form, moment_bl_form, moment_form
from linkage.loading.model import LoadCase, LoadModel

Sense = Literal["min", "max"]


@dataclass(frozen=True)
class Extreme:
    """The extreme value of one quantity and a loading that causes it (the first found where several do)."""

    value: float
    case: LoadCase


def best_masses(model: LoadModel, form: Linear) -> list[float]:
    """Masses (items) in kg of a feasible loading that maximises ``form``, exactly."""
    return _best(choices(model), np.array(form.weights))


def extreme(model: LoadModel, numerator: Linear, denominator: Linear, sense: Sense) -> Extreme:
    """Least or greatest ``numerator / denominator`` over every feasible loading.

    ``DocumentError`` if there is no loading, or if the denominator is not positive over all of them.
    """
    rows = choices(model)
    least = _least(rows, denominator)
    if not least > 0.0:
        raise DocumentError(
            [Fault("loading", f"a denominator reaches {least:g}", "above 0 for every loading")], "loading"
        )
    goal = numerator if sense == "max" else -numerator
    over, under = np.array(goal.weights), np.array(denominator.weights)
    masses = _best(rows, over)
    ratio = goal.at(masses) / denominator.at(masses)
    while under.any():  # the best of a plain linear function is found at once
        trial = _best(rows, over - under * ratio)
        grown = goal.at(trial) / denominator.at(trial)
        if not grown > ratio:
            break
        masses, ratio = trial, grown
    value = ratio if sense == "max" else 0.0 - ratio  # "0 -" spares the reader a minus zero
    return Extreme(value, model.case(masses))


def _best(rows: Rows, weights: FloatArray) -> list[float]:
    """Masses of the loading with the greatest sum by weights."""
    masses = rows.low + fill(rows, (-weights).argsort(kind="stable"), weights > 0.0)
    best: list[float] = masses[int((masses @ weights).argmax())].tolist()
    return best


@lru_cache(maxsize=256)
def _least(rows: Rows, form: Linear) -> float:
    """Least value over every loading."""
    return form.at(_best(rows, -np.array(form.weights)))


@dataclass(frozen=True)
class CgRange:
    """Extremes of mass (kg) and CG (mm, aircraft frame). No ground contact enters, so gear up or down."""

    mass_min: Extreme
    mass_max: Extreme
    forward: Extreme
    aft: Extreme
    low: Extreme
    high: Extreme
    left: Extreme
    right: Extreme


@dataclass(frozen=True)
class GroundRange:
    """Extremes on the wheels at rest: share (fraction), loads (N, 1 g), tip-back (rad)."""

    share_min: Extreme
    share_max: Extreme
    nose_load_min: Extreme
    nose_load_max: Extreme
    main_load_max: Extreme
    tip_back_min: Extreme
    tip_back_max: Extreme


@lru_cache(maxsize=16)
def cg_range(model: LoadModel) -> CgRange:
    """Extremes of mass (kg) and CG (mm, aircraft frame) over every loading. ``DocumentError`` if there is none."""
    mass, one = mass_form(model), constant_form(model)
    fs, wl, bl = moment_form(model), moment_form(model, 1j), moment_bl_form(model)
    return CgRange(
        extreme(model, mass, one, "min"),
        extreme(model, mass, one, "max"),
        extreme(model, fs, mass, "min"),
        extreme(model, fs, mass, "max"),
        extreme(model, wl, mass, "min"),
        extreme(model, wl, mass, "max"),
        extreme(model, bl, mass, "min"),
        extreme(model, bl, mass, "max"),
    )


def ground_range(model: LoadModel, stance: Stance2) -> GroundRange:
    """Extremes of share, wheel loads and tip-back over every loading, on these two contacts.

    ``DocumentError`` if a loading has its CG at or below the ground.
    """
    ahead, one = stance.to_main_form(model), constant_form(model)
    span = mass_form(model) * stance.wheelbase_mm
    nose, main = stance.nose_load_form(model), stance.main_load_form(model)
    return GroundRange(
        extreme(model, ahead, span, "min"),
        extreme(model, ahead, span, "max"),
        extreme(model, nose, one, "min"),
        extreme(model, nose, one, "max"),
        extreme(model, main, one, "max"),
        tip_back(model, stance, "min"),
        tip_back(model, stance, "max"),
    )


def tip_back(model: LoadModel, stance: Stance2, sense: Sense) -> Extreme:
    """Extreme tip-back angle atan(b / h), rad: monotone in the ratio, so its extremes are the ratio's."""
    found = extreme(model, stance.to_main_form(model), stance.height_form(model), sense)
    return replace(found, value=math.atan(found.value))


def turnover(model: LoadModel, stance: Stance2, track_mm: float) -> Extreme:
    """Greatest lateral turnover angle psi = atan(h / (l_n sin d)), tan d = track / (2 wheelbase), rad.

    Roskam II fig 9.1a, with l_n from the nose contact to the CG of each loading, not to one forward CG only: h and l_n
    belong to the same loading. A CG at BL y lies |y| cos d nearer to the line of the wheels on its side; both sides are
    looked at. ``DocumentError`` if a CG lies outside the wheels.
    """
    lean = math.atan2(track_mm, 2.0 * stance.wheelbase_mm)
    height, inside = stance.height_form(model), stance.from_nose_form(model) * math.sin(lean)
    aside = moment_bl_form(model) * math.cos(lean)
    sides = [inside - aside, inside + aside] if any((aside.constant, *aside.weights)) else [inside]
    least = min((extreme(model, side, mass_form(model), "min") for side in sides), key=lambda e: e.value)
    if least.value <= 0.0:
        found = f"the CG lies {-least.value:.1f} mm outside the line of nose and main wheel with {least.case}"
        raise DocumentError(
            [Fault("stance", found, "every CG between the wheels: a wider track or other arms")], "loading"
        )
    worst = max((extreme(model, height, side, "max") for side in sides), key=lambda e: e.value)
    return replace(worst, value=math.atan(worst.value))
