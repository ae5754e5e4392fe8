"""Actuator force with pin friction: the couple at a pin is its friction radius times its force, against its turn.

Friction turns the answer back on itself, for the pin forces depend on the actuator force and on the couples. All of
it is linear but for the size of a force, so it is a small fixed-point problem at every pose; each round shrinks the
error by about friction radius / link length.
"""

from __future__ import annotations

import numpy as np

from linkage.actuation.sources import ACTUATOR, Units
from linkage.mechanism.model import Complexes, Floats

ROUNDS = 60
SETTLED = 1e-11
"""Part of the greatest pin force by which one may still move in the last round; what is left is a round smaller."""


def settle(unit: Units, amount: Floats, dead: Floats) -> tuple[Floats, Floats, Complexes]:
    """Actuator force (conditions, 2, poses), couples (conditions, 2, couples, poses), joint forces (.., joints, poses).

    ``amount`` of all sources but the couples, (conditions, 2, sources, poses), that of the actuator being 0; the ways
    are up and down. NaN at poses in ``dead``, and where the friction does not settle: there it holds the gear by
    itself.
    """
    shape, known = amount.shape[:2], amount.shape[2]
    drive_at, rubbing = unit.sources.index(ACTUATOR), list(unit.couples)
    force = np.ascontiguousarray(np.moveaxis(unit.force, -1, 0))  # poses, joints, sources
    gain = np.where(dead, np.nan, unit.moment[drive_at])[:, None]
    mixed = np.ascontiguousarray(amount.reshape(-1, known, len(dead)).transpose(2, 1, 0))  # poses, sources, cases
    load = np.einsum("psc,sp->pc", mixed, unit.moment[:known])
    spin = unit.spin[rubbing].T  # poses, couples
    # the actuator answers every load and every couple, so it is put in before the rounds begin
    with np.errstate(divide="ignore", invalid="ignore"):
        by_couple = force[:, rubbing, known:] - force[:, rubbing, drive_at][..., None] * (spin / gain)[:, None]
        base = force[:, rubbing, :known] @ mixed - force[:, rubbing, drive_at][..., None] * (load / gain)[:, None]
        arm = (unit.friction[rubbing] * np.sign(spin))[..., None] * np.tile([1.0, -1.0], shape[0])
        couple, open_by = _rounds(base, by_couple, arm)
        push = np.where(open_by, np.nan, -(load + (spin[..., None] * couple).sum(axis=1)) / gain)
    mixed[:, drive_at] = push
    total = force @ np.concatenate([mixed, couple], axis=1)
    return (
        np.ascontiguousarray(push.T).reshape(*shape, len(dead)),
        np.ascontiguousarray(couple.transpose(2, 1, 0)).reshape(*shape, len(rubbing), len(dead)),
        np.ascontiguousarray(total.transpose(2, 1, 0)).reshape(*shape, len(unit.joints), len(dead)),
    )


def _rounds(base: Complexes, by_couple: Complexes, arm: Floats) -> tuple[Floats, Floats]:
    """Couples (poses, couples, cases) with couple = -arm |base + by_couple couple|; and where they do not settle."""
    count = arm.shape[1]
    # real and imaginary parts as rows of one real matrix: half the work of complex numbers
    gain = np.concatenate([by_couple.real, by_couple.imag], axis=1)
    start = np.concatenate([base.real, base.imag], axis=1)
    couple, size = np.zeros(base.shape), np.abs(base)
    open_by = np.zeros((base.shape[0], base.shape[2]), dtype=bool)
    for _ in range(ROUNDS if count else 0):
        couple = -arm * size
        parts = gain @ couple
        parts += start
        parts *= parts
        new = np.sqrt(parts[:, :count] + parts[:, count:])
        moved = np.abs(new - size)
        size = new
        if not np.nanmax(moved, initial=0.0) > SETTLED * np.nanmax(size, initial=0.0):
            break
    else:
        if count:
            open_by = np.any(moved > SETTLED * np.nanmax(size, initial=0.0), axis=1)
    return -arm * size, open_by
