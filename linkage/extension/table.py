"""Unit forces over the fall as Chebyshev polynomials, so that a simulation need not solve the linkage each time.

They are smooth: place, rates and pin forces at a torque on the driven link are analytic in its rotation, also through
the dead centre. So a few dozen exact values carry them to ten digits, and their order is raised until they do. What
has corners (the drag area over the swing, a slack lock spring, a snubber) is no part of the table.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkage.actuation.air import area_part
from linkage.actuation.sources import PER_SECOND2, SPEEDING, TURNING, WEIGHT, Units, tie_length
from linkage.errors import MechanismError
from linkage.extension.faller import Faller
from linkage.mechanism.model import Floats
from linkage.stroke import motion_at, swing_at
from linkage.units import STANDARD_GRAVITY

ORDERS = (54, 80, 120, 180)
WANTED = 1e-9
"""Greatest error of a tabulated value between the nodes, as part of the greatest of its kind."""

BEYOND = 0.02
"""rad past the lock, where an integrator looks before it finds the stop."""


class Row(NamedTuple):
    """One place of the fall. ``moment``: of one unit of every source but the couples, N mm towards up; that of the
    air for the whole drag area, of which ``area`` is left. ``potential``: energy of 1 g of weight, then lengths of
    what pushes and pulls, see `potentials`. ``inertia``: N mm s2. ``spin`` of the joints with friction, and their
    forces, FS parts, then WL parts, see `Units`: of all sources but the couples at rest, ``force`` (2 x joints,
    sources), of a moment that speeds the gear up, ``hurry`` (2 x joints, 1/mm), and of the couples with what they
    speed up themselves, ``by_couple`` (2 x joints, couples)."""

    moment: Floats
    potential: Floats
    inertia: float
    area: float
    spin: Floats
    force: Floats
    hurry: Floats
    by_couple: Floats


@dataclass(frozen=True)
class Table:
    """Chebyshev coefficients (orders, columns) over ``low`` to ``high`` rad of driven rotation.

    ``error``: the greatest found between the nodes, as part of the greatest value of its kind.
    """

    faller: Faller

    low: float
    high: float
    coefficients: Floats
    orders: Floats
    sources: tuple[str, ...]
    known: int
    joints: int
    error: float

    @property
    def constant(self) -> bool:
        """The drag area is the same all the way."""
        return self.faller.study.air is None or self.faller.study.air.area == "constant"

    def at(self, driven: float) -> Row:
        x = (2.0 * driven - self.high - self.low) / (self.high - self.low)
        value = np.einsum("o,oc->c", np.cos(self.orders * math.acos(min(max(x, -1.0), 1.0))), self.coefficients)
        known, n, speeding = self.known, self.joints, self.sources.index(SPEEDING)
        spin = value[2 * known + 1 : 2 * known + 1 + n]
        force = value[2 * known + 1 + n :].reshape(2 * n, len(self.sources))
        hurry = force[:, speeding] / -value[speeding]
        return Row(
            moment=value[:known],
            potential=value[known : 2 * known],
            inertia=-value[speeding],
            area=1.0 if self.constant else float(area_part(self.faller.study, self.faller.gear, value[2 * known])),
            spin=spin,
            force=force[:, :known],
            hurry=hurry,
            by_couple=force[:, known:] + np.multiply.outer(hurry, spin),
        )


def make_table(faller: Faller) -> Table:
    """Tabulate one unit of every cause. Raises ``MechanismError`` if no order is enough."""
    high, error = faller.stroke.driven_up, np.inf
    for order in ORDERS:
        for low in (-BEYOND, 0.0):
            angle = np.pi * (np.arange(order) + 0.5) / order
            between = np.linspace(low, high, 2 * order + 1)
            driven = np.concatenate([0.5 * (high + low) + 0.5 * (high - low) * np.cos(angle), between])
            columns, unit = _columns(faller, driven)
            if np.isfinite(columns[:, order]).all():  # the first between, ``low`` itself
                break
        basis = np.cos(np.arange(order)[:, None] * angle)
        weight = np.where(np.arange(order) == 0, 1.0, 2.0)[:, None] / order
        # not @: what a linear algebra library adds up in threads depends on their number in the last digits
        coefficients = weight * np.einsum("op,cp->oc", basis, columns[:, :order])
        x = (2.0 * between - high - low) / (high - low)
        shapes = np.cos(np.arccos(np.clip(x, -1.0, 1.0))[:, None] * np.arange(order))
        told = np.einsum("po,oc->cp", shapes, coefficients)
        error = float(np.max(np.abs(told - columns[:, order:]) / _scale(columns, unit)))
        if error <= WANTED:
            break
    else:
        raise MechanismError(
            f"gear.emergency: the linkage is too abrupt to tabulate, {error:.1e} is left of {WANTED:g}"
        )
    known = len(unit.sources) - len(unit.couples)
    orders = np.arange(order, dtype=np.float64)
    return Table(faller, low, high, coefficients, orders, unit.sources, known, len(unit.couples), error)


def _columns(faller: Faller, driven: Floats) -> tuple[Floats, Units]:
    unit = faller.units_at(driven)
    known, rubbing = len(unit.sources) - len(unit.couples), list(unit.couples)
    force = unit.force[rubbing].reshape(-1, len(driven))
    rows = [unit.moment[:known], potentials(faller, unit.sources[:known], driven), swing_at(faller.gear, driven)[None]]
    return np.concatenate([*rows, unit.spin[rubbing], force.real, force.imag]), unit


def _scale(columns: Floats, unit: Units) -> Floats:
    """What an error of each row is compared with: the row's own peak, or for pin forces that of the source; the slope
    of the inertia, which may be nothing but rounding, with the inertia."""
    peak = np.max(np.abs(columns), axis=1, keepdims=True)
    turning, speeding = (unit.sources.index(name) for name in (TURNING, SPEEDING))
    peak[turning] = max(float(peak[turning, 0]), float(peak[speeding, 0]))
    rubbing, count = len(unit.couples), len(unit.sources)
    if rubbing:
        force = peak[len(peak) - 2 * rubbing * count :].reshape(2, rubbing, count)
        force[:] = force.max(axis=(0, 1))
    return np.asarray(np.maximum(peak, 1e-12 * peak.max()))


def exact_rows(faller: Faller, driven: Floats) -> tuple[list[Row], tuple[str, ...]]:
    """The same without any table, and the sources."""
    unit = faller.units_at(driven)
    known, rubbing = len(unit.sources) - len(unit.couples), list(unit.couples)
    force = np.concatenate([unit.force[rubbing].real, unit.force[rubbing].imag]).transpose(2, 0, 1)
    spin, inertia = unit.spin[rubbing].T, unit.inertia
    hurry = force[:, :, unit.sources.index(SPEEDING)] / inertia[:, None]
    columns = (
        unit.moment[:known].T,
        potentials(faller, unit.sources[:known], driven).T,
        inertia.tolist(),
        area_part(faller.study, faller.gear, swing_at(faller.gear, driven)).tolist(),
        spin,
        np.ascontiguousarray(force[:, :, :known]),
        hurry,
        force[:, :, known:] + hurry[:, :, None] * spin[:, None, :],
    )
    return [Row(*values) for values in zip(*columns, strict=True)], unit.sources


def potentials(faller: Faller, sources: tuple[str, ...], driven: Floats) -> Floats:
    """Of each of the sources (sources, poses): energy of 1 g of weight in N mm, length of what pushes or pulls in
    mm, 0 for the others."""
    gear, motion = faller.gear, motion_at(faller.gear, driven, 0)
    out = np.zeros((len(sources), len(driven)))
    at = {name: i for i, name in enumerate(sources)}
    for m in faller.masses:
        out[at[WEIGHT]] += m.kg * STANDARD_GRAVITY * motion.point(m.at.body, m.at.at)[0].imag
    for name in ("actuator", *gear.springs):
        ends = [gear.pins[f"{name} {end}"] for end in ("root", "pin")]
        out[at[name]] = np.abs(np.subtract(*(motion.point(p.body, p.at)[0] for p in ends)))
    for tie in gear.ties:
        out[at[tie.name]] = tie_length(motion, tie)
    return out


def inertia_at(faller: Faller, driven: Floats) -> Floats:
    """Reduced inertia of the driven link, N mm s2 (poses,), from the speeds of the masses."""
    motion = motion_at(faller.gear, driven, 1)
    each = (
        m.kg * (np.abs(motion.velocity(m.at.body, m.at.at)[0]) ** 2 + (m.gyration * motion.spin(m.at.body)[0]) ** 2)
        for m in faller.masses
    )
    return np.asarray(PER_SECOND2 * sum(each))
