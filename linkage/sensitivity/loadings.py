"""Loadings with slopes: that of an extreme, those that tie with it, and the next ones.

The extreme loadings are corners of the loading region, and stay so for small changes: a mass at one of its limits
follows that limit, one that is cut off by a limit of the whole follows that (docs/theory-sensitivity.md).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import Any

import numpy as np

from linkage.loading import Extreme
from linkage.loading.choices import choices, fill
from linkage.loading.forms import Linear
from linkage.loading.model import LoadModel, rounding
from linkage.mechanism.model import Floats
from linkage.plane.duals import value_of
from linkage.plane.vectors import at
from linkage.results import Results
from linkage.sensitivity.seeded import Seeded

TIED = 1e-12
"""Part of a moment by which two loadings may differ and still count as the same extreme: rounding."""
NEXT = 24
"""Loadings that are looked at beside the extreme one."""


@dataclass(frozen=True)
class Loaded:
    """CG (FS + 1j*WL, mm) and mass (kg) of a loading, with slopes."""

    cg: Any
    mass: Any


@dataclass(frozen=True)
class Loadings:
    """``extreme``: the loading at the extreme, then those that tie with it, and ``tied`` says why. ``rivals``: the next
    ones, any of which may be the extreme after a change, with their words."""

    extreme: tuple[Loaded, ...]
    tied: str
    rivals: tuple[tuple[Loaded, str], ...]


def loadings(r: Results, s: Seeded, found: Extreme, forms: tuple[Linear, Linear | None], least: bool) -> Loadings:
    """At an extreme of a ratio of two forms, or of the first alone."""
    model, kg = r.share.model, [m for _, m in found.case.masses]
    if not kg:
        return Loadings((_loaded(s, model, []),), "", ())
    numerator, denominator = forms
    goal = numerator
    if denominator is not None:
        goal = numerator - denominator * (numerator.at(kg) / denominator.at(kg))
    weights = np.array((-goal if least else goal).weights)
    follows, met = _masses(s, model, kg, weights)
    others, tied = _others(model, kg, weights)
    for other in others:
        follows += _masses(s, model, other, weights)[0]
    rivals = [
        (_loaded(s, model, masses), str(model.case(other)))
        for other in _next(model, [kg, *others], weights)
        for masses in _masses(s, model, other, weights)[0]
    ]
    return Loadings(tuple(_loaded(s, model, masses) for masses in follows), met or tied, tuple(rivals))


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
    for item, mass, weight in zip(entry.item, kg, weights, strict=True):
        wanted = (item.max, item.min) if weight > 0.0 else (item.min, item.max)
        near = [bound for bound in wanted if abs(mass - value_of(bound)) <= slack]
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


def _next(model: LoadModel, known: list[list[float]], weights: Floats) -> list[list[float]]:
    """The best loading of every choice of what is aboard, and those with one item taken to its other limit, as far as
    the limits of the whole let it; the nearest to the extreme, without those that are known."""
    rows, order = choices(model), np.argsort(-weights, kind="stable")
    ways = [weights > 0.0, *(np.logical_xor(weights > 0.0, np.arange(len(weights)) == i) for i in range(len(weights)))]
    found: list[tuple[float, list[float]]] = []
    for wanted in ways:
        loaded = rows.low + fill(rows, order, wanted)
        level = loaded @ weights
        found += [(float(level[i]), loaded[i].tolist()) for i in np.argsort(-level, kind="stable")[:NEXT]]
    found.sort(key=lambda x: -x[0])
    out: list[list[float]] = []
    for _, kg in found:
        if len(out) < NEXT and all(np.abs(np.subtract(kg, k)).max() > 1e-9 * model.mass_cap_kg for k in known + out):
            out.append(kg)
    return out
