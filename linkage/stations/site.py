"""What the question of stations is asked of: loadings, contacts and limits in one bundle."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from linkage.document.study import Study
from linkage.loading import LoadModel
from linkage.loading.forms import Stance2
from linkage.stance import Ground, Standing
from linkage.stance.settled import tip

Side = Literal["forward", "aft"]


@dataclass(frozen=True)
class Site:
    """Limits as fractions, rad and mm, None where the study sets none. ``blade``: lowest point of the propeller disc;
    ``axle`` and ``radius``: of the nose wheel with its tyre flat and its strut bottomed; ``propeller`` is the least
    clearance static and level, ``propeller_flat`` the one then. Points FS + 1j*WL, mm."""

    model: LoadModel
    stance: Stance2
    track: float
    share: tuple[float | None, float | None]
    tip_back: tuple[float | None, float | None]
    turnover: float | None
    blade: complex | None
    axle: complex
    radius: float
    propeller: float | None
    propeller_flat: float | None

    def moved(self, nose: float = 0.0, mains: float = 0.0) -> Stance2:
        """Contacts moved aft along the ground by so many mm."""
        along = self.stance.direction
        return Stance2(self.stance.nose + nose * along, self.stance.main + mains * along)


def site(study: Study, model: LoadModel, static: Ground, standing: Standing) -> Site:
    """Contacts, blade and limits (mm, rad, fractions), from the document and what is solved already."""
    limits, propeller = study.limits, study.airframe.propeller

    def rad(value: float | None) -> float | None:
        return None if value is None else math.radians(value)

    return Site(
        model,
        static.stance,
        study.airframe.main_gear.track,
        (limits.nose_share.min, limits.nose_share.max),
        (rad(limits.tip_back.min), rad(limits.tip_back.max)),
        rad(limits.turnover.max),
        tip(propeller) if propeller else None,
        standing.flat.axle,
        standing.flat.radius,
        limits.propeller.min,
        limits.propeller_flat.min,
    )
