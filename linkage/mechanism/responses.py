"""What many sets of loads do, one at a time: one factorisation a pose for all of them.

Pin forces and effort are linear in the loads. So the answer to any mixture is the same mixture of the answers here, and
a force that depends on the pin forces themselves (friction) costs no further solution.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linkage.mechanism.model import Complexes, Floats, Mechanism
from linkage.mechanism.motion import Motion
from linkage.mechanism.statics import Load, force_at, multipliers


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
    solved = multipliers(mechanism, motion, sets, effort_at)
    joint = {j.name: force_at(motion.state, j, solved, i) for i, j in enumerate(mechanism.joints)}
    return Responses(joint, solved[..., -1], effort_at)
