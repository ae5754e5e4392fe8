"""The loadings that make a condition worst, over every loading of the study.

Where all forces grow with the vertical load alone, the loading of the greatest vertical load is the worst for every
part. It is exact where that load is linear in the masses. With the mains braked it is mass times a ratio, m A/D: not a
ratio of linear functions, so the search climbs from corner to corner, and a bound is proved for what it may have
missed. Where a force is a part of the weight, loads are linear in (vertical, weight) and every corner of that region
counts; at a tow fitting the heaviest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from linkage.errors import DocumentError, Fault
from linkage.loading import Extreme, LoadCase, LoadModel, case_faults, constant_form, extreme, mass_form
from linkage.loading.extremes import best_masses
from linkage.loading.forms import Linear
from linkage.loads.conditions import Condition, Vertical
from linkage.stance import Ground
from linkage.units import STANDARD_GRAVITY

SAME = 1e-12
"""Relative difference that is rounding of a sum of a dozen products."""


@dataclass(frozen=True)
class Corner:
    """Vertical load and weight of one loading, N. No loading has a vertical load above ``at_most`` in this direction of
    search; it equals ``vertical`` where the search is exact."""

    vertical: float
    weight: float
    case: LoadCase
    at_most: float


def worst_corners(condition: Condition, model: LoadModel) -> tuple[Corner, ...]:
    """Loadings that between them are worst for every part under one condition.

    ``DocumentError`` if no loading is as light as the condition's ``max_mass``.
    """
    if condition.max_mass < model.mass_cap_kg:
        model = _up_to(model, condition)
    horizontal = condition.fore_aft != 0.0 or condition.side != 0.0
    if condition.of_weight and horizontal:
        corners = _outline_corners(condition.vertical, condition.ground, model)
        return (max(corners, key=lambda c: (c.weight, c.vertical)),) if condition.tow else corners
    if condition.vertical.under == 0.0:
        found = extreme(model, _load_form(condition.vertical, condition.ground, model), constant_form(model), "max")
        return (Corner(found.value, _weight(found.case), found.case, found.value),)
    scale = condition.vertical.factor * STANDARD_GRAVITY
    best, at_most = greatest_product(model, *_braked_forms(condition.vertical, condition.ground, model))
    return (Corner(scale * best.value, _weight(best.case), best.case, scale * at_most),)


def _up_to(model: LoadModel, condition: Condition) -> LoadModel:
    lightest = extreme(model, mass_form(model), constant_form(model), "min").value
    if condition.max_mass < lightest:
        expected = f"at least {lightest:g} kg, the lightest loading"
        raise DocumentError(
            [Fault(f"max_mass of condition {condition.name!r}", f"{condition.max_mass:g} kg", expected)]
        )
    return replace(model, mass_cap_kg=condition.max_mass)


def _weight(case: LoadCase) -> float:
    return STANDARD_GRAVITY * case.mass_kg


def _arm_form(v: Vertical, ground: Ground, model: LoadModel) -> Linear:
    """m (b + over h), kg mm."""
    return ground.stance.to_main_form(model) + ground.stance.height_form(model) * v.over


def _load_form(v: Vertical, ground: Ground, model: LoadModel) -> Linear:
    """V in N, linear in the masses when nothing stands under the line but the wheelbase."""
    return _arm_form(v, ground, model) * (v.factor * STANDARD_GRAVITY / ground.stance.wheelbase_mm)


def _braked_forms(v: Vertical, ground: Ground, model: LoadModel) -> tuple[Linear, Linear, Linear]:
    """m, A = m (b + over h) and D = m (L + under h), so that V = factor g m A/D."""
    stance, mass = ground.stance, mass_form(model)
    return mass, _arm_form(v, ground, model), mass * stance.wheelbase_mm + stance.height_form(model) * v.under


def _outline_corners(v: Vertical, ground: Ground, model: LoadModel) -> tuple[Corner, ...]:
    load, weight = _load_form(v, ground, model), mass_form(model) * STANDARD_GRAVITY
    corners = []
    for masses in outline(model, load, weight):
        case = model.case(masses)
        corners.append(Corner(load.at(masses), _weight(case), case, load.at(masses)))
    return tuple(corners)


def outline(model: LoadModel, first: Linear, second: Linear) -> list[list[float]]:
    """Loadings (kg in item order) at the corners of the convex hull of (first, second) over every loading.

    Each side found so far is asked for the loading furthest beyond it until there is none.
    """

    def furthest(direction: complex) -> list[float]:
        return best_masses(model, first * direction.real + second * direction.imag)

    def place(masses: list[float]) -> complex:
        return complex(first.at(masses), second.at(masses))

    def between(a: list[float], b: list[float]) -> list[list[float]]:
        along = place(b) - place(a)
        if abs(along) <= reach * SAME:
            return []
        out = -1j * along / abs(along)
        c = furthest(out)
        beyond = ((place(c) - place(a)) * out.conjugate()).real
        return [] if beyond <= reach * 1e-9 else [*between(a, c), c, *between(c, b)]

    start = [furthest(d) for d in (1 + 0j, 1j, -1 + 0j, -1j)]
    reach = max(abs(place(m)) for m in start)
    found = []
    for a, b in zip(start, start[1:] + start[:1], strict=True):
        found += [a, *between(a, b)]
    return [m for i, m in enumerate(found) if all(abs(place(m) - place(other)) > reach * 1e-9 for other in found[:i])]


def greatest_product(model: LoadModel, first: Linear, second: Linear, under: Linear) -> tuple[Extreme, float]:
    """Greatest first x second / under over every loading, all three above 0, and a bound that none exceeds.

    With u = first/under and w = second/under, the function equals a linear one that touches it at (u*, w*) plus
    under (u - u*)(w - w*). Climbing goes to the loading that is best for the linear one; where that is no better, what
    is left of the linear one and the greatest that the product of differences can be, make the bound.
    """
    masses = best_masses(model, second)
    while True:
        here, u, w = _product(first, second, under, masses)
        touching = second * u + first * w - under * (u * w)
        trial = best_masses(model, touching)
        if touching.at(trial) <= here * (1.0 + SAME):
            break
        better = _best_between(model, (first, second, under), masses, trial)
        if _product(first, second, under, better)[0] <= here * (1.0 + SAME):
            break
        masses = better
    spread = [
        (extreme(model, top, under, "min").value - mid, extreme(model, top, under, "max").value - mid)
        for top, mid in ((first, u), (second, w))
    ]
    missed = max(0.0, *(p * q for p in spread[0] for q in spread[1]))
    most = extreme(model, under, constant_form(model), "max").value
    return Extreme(here, model.case(masses)), max(here, touching.at(trial)) + most * missed


def _product(first: Linear, second: Linear, under: Linear, masses: Sequence[float]) -> tuple[float, float, float]:
    a, b, d = first.at(masses), second.at(masses), under.at(masses)
    return a * b / d, a / d, b / d


def _best_between(
    model: LoadModel, forms: tuple[Linear, Linear, Linear], start: list[float], end: list[float]
) -> list[float]:
    """Best of ``start``, ``end`` and the stationary points between them that are loadings."""
    (m0, m1), (a0, a1), (d0, d1) = ((f.at(start), f.at(end) - f.at(start)) for f in forms)
    n0, n1, n2 = m0 * a0, m0 * a1 + m1 * a0, m1 * a1
    roots = np.roots([n2 * d1, 2.0 * n2 * d0, n1 * d0 - d1 * n0])
    steps = [float(t.real) for t in roots if abs(t.imag) < 1e-9 and 0.0 < t.real < 1.0 and math.isfinite(t.real)]
    tries = [[p + t * (q - p) for p, q in zip(start, end, strict=True)] for t in steps]
    sound = [masses for masses in tries if not case_faults(model, model.case(masses))]
    return max([start, end, *sound], key=lambda masses: _product(*forms, masses)[0])
