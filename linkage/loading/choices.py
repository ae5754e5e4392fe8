"""The feasible set as rows of arrays: one row per choice of what is aboard, all rows filled at once.

For one choice the feasible masses are a box cut by ``sum <= mass cap`` and ``payload sum <= zero-fuel
cap``. Payload lies inside the whole, so the two caps are nested and the set is a polymatroid: filling the
items in any fixed order of preference, each as far as the caps allow, gives the best loading for every
linear function with that order - and every stretch of the way is the best loading of its total mass
(Edmonds 1970, from memory). So a linear programme over hundreds of choices is one pass over the items, on
vectors over the choices. Tests hold it against linprog and against the enumeration of all corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from linkage.errors import DocumentError, Fault
from linkage.loading.model import LoadItem, LoadModel, groups, rounding

FloatArray = NDArray[np.float64]

MOST_CHOICES = 2**16
"""Rows that are still enumerated; more would cost hundreds of MB. Far above any light aircraft's seats."""


MOST_KEPT = 2**17
"""Numbers found by `fill` that are kept for one set of rows: 1 MB."""


@dataclass(frozen=True, eq=False)
class Rows:
    """Loading boxes, (rows x items) in kg: ``low`` aboard at least, ``room`` more at most.

    ``left`` and ``left_dry`` are the kg that the caps still allow in total and in payload, ``need`` the kg
    still missing to the least mass. ``feasible`` marks rows in which all that fits together.
    """

    low: FloatArray
    room: FloatArray
    payload: NDArray[np.bool_]
    left: FloatArray
    left_dry: FloatArray
    need: FloatArray
    feasible: NDArray[np.bool_]
    filled: dict[bytes, FloatArray] = field(default_factory=dict, repr=False)
    """What `fill` has found already, by order and what is wanted: they are few, and every search asks for them."""


def choices(model: LoadModel) -> Rows:
    """Every choice of what is aboard that has a loading within all limits, as rows.

    ``DocumentError`` if there is none (saying which limits conflict), or if there are too many choices to
    enumerate. An optional item whose least mass is 0 is no choice: leaving it out is loading 0 kg of it.
    """
    return rows_within(model.empty_kg, model.items, model.mass_cap_kg, model.zero_fuel_cap_kg, model.min_mass_kg)


@lru_cache(maxsize=64)
def rows_within(
    empty: float, items: tuple[LoadItem, ...], cap: float, dry_cap: float | None, least: float | None
) -> Rows:
    """Where the empty aircraft has its CG makes no difference to what may be aboard."""
    model = LoadModel(empty, 0.0, 0.0, items, cap, dry_cap, least)
    aboard = _aboard(model)
    low = aboard * np.array([i.min_kg for i in model.items])
    room = aboard * np.array([i.max_kg - i.min_kg for i in model.items])
    rows = make_rows(model, low, room)
    if not rows.feasible.any():
        raise DocumentError(_conflicts(model, rows), "loading")
    return make_rows(model, low[rows.feasible], room[rows.feasible])


def make_rows(model: LoadModel, low: FloatArray, room: FloatArray) -> Rows:
    """Work out what the caps of ``model`` leave over for given boxes (rows x items), kg."""
    low, room = np.asfortranarray(low), np.asfortranarray(room)  # filling walks along the columns
    payload = np.array([i.kind == "payload" for i in model.items], dtype=np.bool_)
    dry_cap = math.inf if model.zero_fuel_cap_kg is None else model.zero_fuel_cap_kg
    total = model.empty_kg + low.sum(axis=1)
    dry = model.empty_kg + low[:, payload].sum(axis=1)
    left, left_dry = model.mass_cap_kg - total, dry_cap - dry
    need = np.maximum((model.min_mass_kg or 0.0) - total, 0.0)
    most = np.minimum(np.minimum(room[:, payload].sum(axis=1), left_dry) + room[:, ~payload].sum(axis=1), left)
    slack = rounding(model.mass_cap_kg)
    feasible = (left >= -slack) & (left_dry >= -slack) & (need <= most + slack)
    return Rows(low, room, payload, np.maximum(left, 0.0), np.maximum(left_dry, 0.0), need, feasible)


def fill(rows: Rows, order: NDArray[np.intp], wanted: NDArray[np.bool_]) -> FloatArray:
    """Kg added to each item (rows x items) when they are filled in ``order`` as far as box and caps allow.

    Items that are not ``wanted`` are only filled while the least mass is not reached. Not to be written to.
    """
    key = order.tobytes() + wanted.tobytes()
    found = rows.filled.get(key)
    if found is None:
        found = _fill(rows, order, wanted)
        found.flags.writeable = False
        if (len(rows.filled) + 1) * found.size <= MOST_KEPT:
            rows.filled[key] = found
    return found


def _fill(rows: Rows, order: NDArray[np.intp], wanted: NDArray[np.bool_]) -> FloatArray:
    added = np.zeros_like(rows.low)
    left, left_dry, need = rows.left, rows.left_dry, rows.need
    for i in order:
        step = np.minimum(rows.room[:, i], left)
        if rows.payload[i]:
            step = np.minimum(step, left_dry)
        if not wanted[i]:
            step = np.minimum(step, need)
        added[:, i] = step
        left = left - step
        left_dry = left_dry - step if rows.payload[i] else left_dry
        need = np.maximum(need - step, 0.0)
    return added


def chain(
    rows: Rows, empty_kg: float, empty_moment: float, arms: FloatArray, up: bool
) -> tuple[FloatArray, FloatArray]:
    """Corners (rows x items+1) in mass and moment of one side of each row's loading polygon, by growing mass.

    The side of greatest moment (``up``) or of least moment at every mass: the path of filling by falling
    (rising) arm. Exact, because every stretch of that path is the best loading of its mass. Units kg, kg
    times unit of ``arms``.
    """
    order = np.argsort(-arms if up else arms, kind="stable")
    added = fill(rows, order, np.ones(len(arms), dtype=np.bool_))[:, order]
    mass = np.cumsum(np.column_stack([empty_kg + rows.low.sum(axis=1), added]), axis=1)
    moment = np.cumsum(np.column_stack([empty_moment + rows.low @ arms, added * arms[order]]), axis=1)
    # The part of the path below the least mass is no loading: it shrinks onto the point where it reaches it.
    before = mass[:, :-1] - mass[:, :1]
    spent = np.clip(rows.need[:, None] - before, 0.0, added)
    start = mass[:, :1] + rows.need[:, None]
    start_moment = moment[:, :1] + (spent * arms[order]).sum(axis=1, keepdims=True)
    return np.maximum(mass, start), np.where(mass < start, start_moment, moment)


def _aboard(model: LoadModel) -> NDArray[np.bool_]:
    """All choices (rows x items), feasible or not: one of each group, optional items in or out."""
    units = [_options([(i, item)]) for i, item in enumerate(model.items) if item.group is None]
    units += [
        _options([(i, item) for i, item in enumerate(model.items) if item.group == name])
        for name in groups(model.items)
    ]
    if math.prod(len(unit) for unit in units) > MOST_CHOICES:
        found = f"{sum(len(u) > 1 for u in units)} places that may be filled in several ways"
        raise DocumentError([Fault("loading.items", found, f"at most {MOST_CHOICES} choices together")], "loading")
    rows = np.zeros((1, len(model.items)), dtype=np.bool_)
    for unit in units:
        marks = np.zeros((len(unit), len(model.items)), dtype=np.bool_)
        for mark, option in zip(marks, unit, strict=True):
            mark[option] = True
        rows = (rows[:, None, :] | marks[None, :, :]).reshape(-1, len(model.items))
    return rows


def _options(place: list[tuple[int, LoadItem]]) -> list[list[int]]:
    """Ways to fill one place: each of its items, or nothing where that is allowed and not just 0 kg."""
    empty = all(item.optional and item.min_kg > 0.0 for _, item in place)
    return [[i] for i, _ in place] + ([[]] if empty else [])


def _conflicts(model: LoadModel, rows: Rows) -> list[Fault]:
    """Why no choice has a loading: each limit that fails alone, else that they fail together."""
    least = model.empty_kg + rows.low.sum(axis=1)
    dry = model.empty_kg + rows.low[:, rows.payload].sum(axis=1)
    most = least + rows.room.sum(axis=1)
    faults = []
    if least.min() > model.mass_cap_kg:
        parts = _parts(model, rows.low[least.argmin()])
        faults.append(Fault("loading.mass_cap_kg", f"{model.mass_cap_kg:g} kg", f"at least {parts}"))
    if model.zero_fuel_cap_kg is not None and dry.min() > model.zero_fuel_cap_kg:
        parts = _parts(model, np.where(rows.payload, rows.low[dry.argmin()], 0.0))
        faults.append(Fault("loading.zero_fuel_cap_kg", f"{model.zero_fuel_cap_kg:g} kg", f"at least {parts}"))
    if model.min_mass_kg is not None and model.min_mass_kg > min(most.max(), model.mass_cap_kg):
        expected = f"at most the mass cap {model.mass_cap_kg:g} kg and the greatest loading {most.max():g} kg"
        faults.append(Fault("loading.min_mass_kg", f"{model.min_mass_kg:g} kg", expected))
    if not faults:
        found = ", ".join(
            f"{name} {value:g}"
            for name in ("mass_cap_kg", "zero_fuel_cap_kg", "min_mass_kg")
            if (value := getattr(model, name)) is not None
        )
        faults.append(Fault("loading", f"no choice of items meets all limits together ({found})", "one that does"))
    return faults


def _parts(model: LoadModel, kg: FloatArray) -> str:
    """The sum that does not fit, spelled out."""
    parts = [
        f"empty {model.empty_kg:g}",
        *(f"{n} {m:g}" for n, m in zip(model.names, kg, strict=True) if m > 0.0),
    ]
    return f"{model.empty_kg + kg.sum():g} kg, the least loading ({' + '.join(parts)})"
