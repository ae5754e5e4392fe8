"""What many sets of loads do, one at a time: one factorisation a pose for all of them.

Pin forces and effort are linear in the loads. So the answer to any mixture is the same mixture of the answers here, and
a force that depends on the pin forces themselves (friction) costs no further solution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.mechanism import newton
from linkage.mechanism.model import Complexes, Floats, Mechanism, Pin
from linkage.mechanism.motion import Motion, chunks
from linkage.mechanism.statics import Load, generalised, travel_row

SYSTEMS = 256
"""Poses solved at a time, so that their matrices stay in the cache."""


@dataclass(frozen=True)
class Responses:
    """Arrays with the sets of loads first: ``joint[name]`` (sets, designs, poses), force of body a on body b as in
    `linkage.mechanism.statics.Balance`, without the effort; ``effort`` at joint ``effort_at``."""

    joint: dict[str, Complexes]
    effort: Floats
    effort_at: str


def responses(mechanism: Mechanism, motion: Motion, sets: Sequence[Sequence[Load]], effort_at: str) -> Responses:
    """Joint forces and the effort at ``effort_at`` that hold every pose against each set of loads alone.

    NaN where the mechanism does not close. Take for ``effort_at`` a joint that has no dead point on the way, such as
    the driving one, and put the force of any other drive in as a load.
    """
    state, shape, size = motion.state, motion.margin.shape, 3 * len(mechanism.bodies)
    joints = mechanism.joints
    last = [(2 * len(joints), c, v) for c, v in travel_row(state, mechanism.bodies, mechanism.joint(effort_at))]
    matrix = [
        (row, col, np.broadcast_to(value, shape))
        for row, col, value in newton.entries(state, joints, mechanism.bodies) + last
    ]
    right = np.stack([-generalised(motion, mechanism.bodies, loads) for loads in sets], axis=-1)
    solved = np.empty((*shape, size, len(sets)))
    for part in chunks(shape[1], max(1, SYSTEMS // shape[0])):
        square = np.zeros((*right[:, part].shape[:2], size, size))
        for row, col, value in matrix:
            square[..., col, row] = value[:, part]
        solved[:, part] = newton.solve_many(square, right[:, part])
    solved = np.moveaxis(solved, -1, 0)
    return Responses({j.name: _force(state, j, solved, i) for i, j in enumerate(joints)}, solved[..., -1], effort_at)


def _force(state: Any, joint: Any, solved: Floats, i: int) -> Complexes:
    first, second = solved[..., 2 * i], solved[..., 2 * i + 1]
    if isinstance(joint, Pin):
        return first + 1j * second
    return np.asarray(1j * newton.axis_of(state, joint) * second)
