"""Loadings along the outline of everything that can be loaded, for quantities that are no ratio of linear functions.

For one choice of what is aboard and one direction, filling the items by rising (falling) arm passes through the
loading of least (greatest) moment along that direction at every total mass (see ``choices``). So whatever grows with
that moment at equal mass has its extremes on these two paths, also when the direction itself depends on the mass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linkage.errors import DocumentError, Fault
from linkage.loading.choices import FloatArray, Rows, choices, fill
from linkage.loading.forms import moment_form
from linkage.loading.model import LoadModel

MOST_CHOICES = 2048
"""Choices of what is aboard between which ``outer`` still compares every path with every other."""


@dataclass(frozen=True, eq=False)
class Silhouette:
    """``masses`` (paths, points, items) in kg, first the paths of greatest moment along ``axis``, then those of least.

    Points that follow each other lie on one straight piece.
    """

    model: LoadModel
    axis: complex
    masses: FloatArray

    def outer(self) -> NDArray[np.bool_]:
        """Points (paths, points) that no other path passes on the outside at their total mass, rounding aside.

        ``DocumentError`` with more than ``MOST_CHOICES`` choices.
        """
        form = moment_form(self.model, self.axis)
        total = self.model.empty_kg + self.masses.sum(axis=2)
        moment = form.constant + self.masses @ np.array(form.weights)
        half = len(total) // 2
        if half > MOST_CHOICES:
            found = f"{half} choices of what is aboard"
            raise DocumentError([Fault("loading.item", found, f"at most {MOST_CHOICES} with [springs]")], "loading")
        sides = [(total[:half], moment[:half]), (total[half:], -moment[half:])]
        return np.concatenate([_outer(t, m) for t, m in sides])


def silhouette(model: LoadModel, axis: complex, steps: int) -> Silhouette:
    """Both paths of every choice for the unit vector ``axis`` of the side view.

    ``steps`` points to each straight piece. Raises as ``choices`` does.
    """
    rows, arms = choices(model), np.array(moment_form(model, axis).weights)
    sides = [_path(rows, np.argsort(-sign * arms, kind="stable"), steps) for sign in (1.0, -1.0)]
    return Silhouette(model, axis, np.concatenate(sides))


def _outer(total: FloatArray, moment: FloatArray) -> NDArray[np.bool_]:
    best = moment.copy()
    for mass, along in zip(total, moment, strict=True):
        best = np.maximum(best, np.interp(total, mass, along, left=-np.inf, right=-np.inf))
    outer: NDArray[np.bool_] = moment >= best - 1e-9 * np.abs(best)
    return outer


def _path(rows: Rows, order: np.ndarray, steps: int) -> FloatArray:
    """Masses (rows, points, items) while the items are filled in ``order``, from the least mass on."""
    count = len(order)
    added = fill(rows, order, np.ones(count, dtype=np.bool_))[:, order]
    after = np.cumsum(added, axis=1)
    start = rows.need[:, None]
    corners = np.concatenate([start, np.maximum(after, start)], axis=1)
    parts = np.linspace(0.0, 1.0, steps, endpoint=False)
    between = corners[:, :-1, None] + (corners[:, 1:] - corners[:, :-1])[:, :, None] * parts
    filled = np.concatenate([between.reshape(len(corners), -1), corners[:, -1:]], axis=1)
    masses = np.empty((len(corners), filled.shape[1], count))
    masses[:, :, order] = np.clip(filled[:, :, None] - (after - added)[:, None, :], 0.0, added[:, None, :])
    masses += rows.low[:, None, :]
    return masses
