"""Parts of a family in a state: the same points of the same bodies, moved along with each gear's own leg.

What a state does to a part it does in the axes of the leg (`linkage.states.parts`): pressed up the leg, strayed across
it, or grown. So a point of a part in a state is a point of the part as drawn, and how far from it along and across the
leg; a family has both from its own gears. How far a turned wheel strays and what play lets stray are the drawn gear's;
`linkage.tolerance.loose` has what those as made stray further.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.gear import LEG, BodyPoint, Gear, GearPart


@dataclass(frozen=True)
class Moving:
    """``piece``: the part, or a slice of it, in its state, of the drawn gear; ``part``: which of the gear's it is;
    ``made_of``: for each point of its core, the point of the part as drawn, and the arm from there in leg axes, mm;
    ``turned``: how far it may be turned about the steer axis, rad; ``loose``: it strays as play lets it."""

    part: int
    piece: GearPart
    made_of: tuple[tuple[int, complex], ...]
    turned: float = 0.0
    loose: bool = False

    @property
    def radius(self) -> float:
        return self.piece.radius

    def points(self, gear: Gear) -> list[tuple[str, Any]]:
        """Body and drawn place of each point of the core, of the gear or of every gear of a family."""
        core = gear.parts[self.part].core
        return [
            (p.body, core[k].at + arm * gear.down if arm else core[k].at)
            for p, (k, arm) in zip(self.piece.core, self.made_of, strict=True)
        ]


def moving(
    gear: Gear,
    part: int,
    piece: GearPart,
    lifts: Sequence[float] = (0.0,),
    turned: float = 0.0,
    loose: bool = False,
) -> Moving:
    """``piece``: what ``part`` of the gear is in a state in which the strut may be pressed by ``lifts``, mm, the wheel
    turned, rad, and play taken up (``loose``)."""
    turn = turned if gear.parts[part].steers else 0.0
    return Moving(part, piece, tuple(_made_of(gear, gear.parts[part].core, piece.core, lifts)), turn, loose)


def _made_of(
    gear: Gear, drawn: Sequence[BodyPoint], core: Sequence[BodyPoint], lifts: Sequence[float]
) -> list[tuple[int, complex]]:
    """Point by point where the order is kept; of a hull, the point and the shift that lead to each corner."""
    arms = (np.array([p.at for p in core])[:, None] - np.array([p.at for p in drawn])) / gear.down
    if len(core) == len(drawn) and any(p.body != LEG for p in core):
        return [(k, complex(arms[k, k])) for k in range(len(core))]
    aside = float(arms.imag.max(axis=0).min())  # a hull stands out by the shift beyond the outermost point
    shifts = np.array([-c + 1j * s for c in (0.0, *lifts) for s in (0.0, aside, -aside)])
    off = np.abs(arms[:, :, None] - shifts).min(axis=2)
    return [(int(k), complex(arms[i, k])) for i, k in enumerate(off.argmin(axis=1))]
