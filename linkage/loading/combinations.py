"""Which combinations of two items (forward and aft baggage, say) are allowed, whatever else is loaded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from linkage.errors import DocumentError, Fault
from linkage.loading.choices import FloatArray, Rows, chain, choices, make_rows
from linkage.loading.forms import Stance2, moment_form
from linkage.loading.model import LoadModel, rounding

Scalar = TypeVar("Scalar", bound=np.generic)


@dataclass(frozen=True, eq=False)
class BaggageMap:
    """Extremes over the rest of the loading for a grid of two items. All grids are (len(b_kg), len(a_kg)).

    ``share_*`` fractions and ``cg_*`` mm (aircraft FS) are NaN where the pair belongs to no loading
    (``possible`` False). ``share_ok`` / ``cg_ok``: every loading with this pair stays within the band / the
    CG limits.
    """

    item_a: str
    item_b: str
    a_kg: FloatArray
    b_kg: FloatArray
    possible: NDArray[np.bool_]
    share_min: FloatArray
    share_max: FloatArray
    cg_min: FloatArray
    cg_max: FloatArray
    share_ok: NDArray[np.bool_]
    cg_ok: NDArray[np.bool_]

    @property
    def allowed(self) -> NDArray[np.bool_]:
        """Both limits hold for every loading with this pair."""
        return self.share_ok & self.cg_ok


def baggage_map(
    model: LoadModel,
    item_a: str,
    item_b: str,
    stance: Stance2,
    band: tuple[float, float],
    cg_limits: tuple[float, float],
    n: int = 61,
    held: Mapping[str, float] | None = None,
) -> BaggageMap:
    """Grid of ``n`` masses each from the least to the greatest of the two items, and 0 where an item may stay out.

    All other items range over all they may be (worst case), except those in ``held`` (name -> kg), which
    stay at that mass: a whole base case is ``held=dict(case.masses)``. ``band`` in fractions, ``cg_limits``
    forward and aft in mm. ``DocumentError`` for an unknown name, or the same name twice.
    """
    held = {name: kg for name, kg in (held or {}).items() if name not in (item_a, item_b)}
    _check_names(model, item_a, item_b, held)
    a_kg, b_kg = (_axis(model, name, n) for name in (item_a, item_b))
    grid_a, grid_b = (g.ravel() for g in np.meshgrid(a_kg, b_kg))
    fixed = {item_a: grid_a, item_b: grid_b} | {name: np.full(grid_a.size, kg) for name, kg in held.items()}
    cg_min, cg_max = _envelope(model, fixed, 1 + 0j)
    ground = _envelope(model, fixed, stance.direction)
    zero = stance.arm_at_share(0.0)
    share_max, share_min = ((zero - arm) / stance.wheelbase_mm for arm in ground)
    share_ok = (share_min >= band[0]) & (share_max <= band[1])
    cg_ok = (cg_min >= cg_limits[0]) & (cg_max <= cg_limits[1])

    def grid(values: NDArray[Scalar]) -> NDArray[Scalar]:
        return values.reshape(b_kg.size, a_kg.size)

    return BaggageMap(
        item_a=item_a,
        item_b=item_b,
        a_kg=a_kg,
        b_kg=b_kg,
        possible=grid(np.isfinite(cg_min)),
        share_min=grid(share_min),
        share_max=grid(share_max),
        cg_min=grid(cg_min),
        cg_max=grid(cg_max),
        share_ok=grid(share_ok),
        cg_ok=grid(cg_ok),
    )


def _envelope(model: LoadModel, fixed: Mapping[str, FloatArray], axis: complex) -> tuple[FloatArray, FloatArray]:
    """Least and greatest CG along ``axis`` (mm) for each column of fixed masses, over everything else.

    A ratio moment / mass is extreme at a corner of the region's sides, and those corners are the chain's.
    """
    form = moment_form(model, axis)
    arms = np.array(form.weights)
    size = len(next(iter(fixed.values())))
    low, high = np.full(size, np.inf), np.full(size, -np.inf)
    every = choices(model)
    for row in range(len(every.low)):
        rows, possible = _with_fixed(model, every, row, fixed)
        for up in (False, True):
            mass, moment = chain(rows, model.empty_kg, form.constant, arms, up)
            cg = moment / mass
            low = np.where(possible, np.minimum(low, cg.min(axis=1)), low)
            high = np.where(possible, np.maximum(high, cg.max(axis=1)), high)
    none = ~np.isfinite(low)
    low[none] = high[none] = np.nan
    return low, high


def _with_fixed(
    model: LoadModel, every: Rows, row: int, fixed: Mapping[str, FloatArray]
) -> tuple[Rows, NDArray[np.bool_]]:
    """One choice with the fixed items set, a row per grid point, and where the choice allows them."""
    size = len(next(iter(fixed.values())))
    low, room = (np.repeat(a[row : row + 1], size, axis=0) for a in (every.low, every.room))
    possible = np.ones(size, dtype=np.bool_)
    for name, kg in fixed.items():
        i = model.names.index(name)
        high = low[:, i] + room[:, i]
        possible &= (kg >= low[:, i]) & (kg <= high + rounding(model.mass_cap_kg))
        low[:, i], room[:, i] = kg, 0.0
    rows = make_rows(model, low, room)
    return rows, possible & rows.feasible


def _axis(model: LoadModel, name: str, n: int) -> FloatArray:
    item = model.items[model.names.index(name)]
    if (item.optional or item.group is not None) and item.min_kg > 0.0:
        return np.concatenate([[0.0], np.linspace(item.min_kg, item.max_kg, n - 1)])
    return np.linspace(item.min_kg, item.max_kg, n)


def _check_names(model: LoadModel, item_a: str, item_b: str, held: Mapping[str, float]) -> None:
    known = ", ".join(model.names)
    faults = [
        Fault(f"loading.items[{name}]", "no such item", f"one of {known}")
        for name in (item_a, item_b, *held)
        if name not in model.names
    ]
    if item_a == item_b:
        faults.append(Fault("baggage map", f"{item_a!r} against itself", "two different items"))
    if faults:
        raise DocumentError(faults, "loading")
