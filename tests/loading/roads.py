"""Second roads to the extremes: the definition of the feasible set written out, corner by corner, and linprog."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from scipy.optimize import linprog

from linkage.loading import Linear, LoadModel


def choices_by_definition(model: LoadModel) -> Iterator[tuple[int, ...]]:
    """Every set of item numbers that may be aboard together, straight from the rules in LoadItem's docstring."""
    for inside in itertools.product((False, True), repeat=len(model.items)):
        ok = True
        for item, aboard in zip(model.items, inside, strict=True):
            if item.group is None:
                ok &= aboard or item.optional
        for group in {item.group for item in model.items} - {None}:
            members = [(i, a) for i, a in zip(model.items, inside, strict=True) if i.group == group]
            count = sum(a for _, a in members)
            ok &= count == 1 or (count == 0 and all(i.optional for i, _ in members))
        if ok:
            yield tuple(i for i, aboard in enumerate(inside) if aboard)


def polytope(model: LoadModel, aboard: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
    """A x <= b for the masses of the items aboard."""
    items = [model.items[i] for i in aboard]
    n = len(items)
    eye = np.eye(n)
    rows = [eye, -eye, np.ones((1, n))]
    bound = [[i.max_kg for i in items], [-i.min_kg for i in items], [model.mass_cap_kg - model.empty_kg]]
    if model.zero_fuel_cap_kg is not None:
        rows.append(np.array([[float(i.kind == "payload") for i in items]]))
        bound.append([model.zero_fuel_cap_kg - model.empty_kg])
    if model.min_mass_kg is not None:
        rows.append(-np.ones((1, n)))
        bound.append([model.empty_kg - model.min_mass_kg])
    return np.concatenate(rows), np.concatenate([np.asarray(b, dtype=float) for b in bound])


def corners(model: LoadModel) -> list[np.ndarray]:
    """Corners (k, items) of the polytope of each choice that has any: every n constraints met with equality."""
    found = []
    for aboard in choices_by_definition(model):
        a, b = polytope(model, aboard)
        n = len(aboard)
        points = [np.zeros(0)] if n == 0 and (b >= 0.0).all() else []
        sets = np.array(list(itertools.combinations(range(len(b)), n))) if n else np.zeros((0, 0), dtype=int)
        if n:
            matrices, right = a[sets], b[sets]
            regular = np.abs(np.linalg.det(matrices)) > 0.5  # entries are 0 and +-1: a determinant is an integer
            solved = np.linalg.solve(matrices[regular], right[regular][..., None])[..., 0]
            points = list(solved[(solved @ a.T <= b + 1e-9).all(axis=1)])
        if points:
            full = np.zeros((len(points), len(model.items)))
            full[:, list(aboard)] = points
            found.append(full)
    return found


def value(form: Linear, masses: np.ndarray) -> np.ndarray:
    return form.constant + masses @ np.array(form.weights)


def extremes_by_corners(model: LoadModel, numerator: Linear, denominator: Linear) -> tuple[float, float]:
    masses = np.concatenate(corners(model))
    ratios = value(numerator, masses) / value(denominator, masses)
    return float(ratios.min()), float(ratios.max())


def extremes_by_linprog(model: LoadModel, numerator: Linear, denominator: Linear) -> tuple[float, float]:
    """Charnes and Cooper's substitution y = t x, t = scale / denominator, one linear programme per choice."""
    scale = abs(denominator.constant) or 1.0
    found = []
    for aboard in choices_by_definition(model):
        a, b = polytope(model, aboard)
        index = list(aboard)
        top = np.append(np.array(numerator.weights)[index], numerator.constant) / scale
        bottom = np.append(np.array(denominator.weights)[index], denominator.constant) / scale
        for sign in (1.0, -1.0):
            answer = linprog(
                sign * top,
                A_ub=np.column_stack([a, -b]),
                b_ub=np.zeros(len(b)),
                A_eq=bottom[None, :],
                b_eq=[1.0],
                bounds=(0.0, None),
                method="highs",
                options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
            )
            if answer.status == 0:
                found.append(sign * answer.fun)
            else:
                assert answer.status == 2, answer.message
    return min(found), max(found)
