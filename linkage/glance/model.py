"""What a glance shows, complete when built."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage.actuation import Push
from linkage.checks import Finding
from linkage.clearance import Clearance, Gap
from linkage.document.study import Study
from linkage.gear import Gear
from linkage.loading import LoadShare
from linkage.loads import LockedLoad
from linkage.lock import LockTravel, Stops
from linkage.mechanism.model import Floats
from linkage.stance import Ground, Standing
from linkage.steering import Steering
from linkage.stroke import Stroke


@dataclass(frozen=True)
class Glance:
    """Everything that was worked out of a study while it changes; None (or empty) where ``trouble`` was in the way.

    ``trouble``: what could not be read or computed, a line each, empty when nothing was. ``ground``: static.
    ``share``: nose share and CG over every loading; where ``stroke`` is missing its range with the gear up is that of
    the gear down, and is not judged. ``loads``: reference conditions on the greatest static nose load, N, with brace
    and stop force. ``locked_by``: stops that set the lock, then what is declared to hold it. ``actuation``: by virtual
    work alone. ``clearance``: an estimate, see `linkage.glance.gaps`. ``findings``: as in a solution, those that a
    glance supports; ``left_out``: codes of findings that only the full solution looks at.
    """

    study: Study
    trouble: tuple[str, ...]
    gear: Gear | None
    stroke: Stroke | None
    ground: Ground | None
    share: LoadShare | None
    steering: Steering | None
    standing: Standing | None
    loads: tuple[LockedLoad, ...]
    locked_by: tuple[str, ...]
    stops: Stops | None
    lock_travel: LockTravel | None
    actuation: Push | None
    clearance: Clearance | None
    findings: tuple[Finding, ...]
    left_out: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Everything of a glance could be worked out."""
        return not self.trouble

    @property
    def passed(self) -> bool:
        """Sound, and nothing that was looked at is short."""
        return self.sound and all(f.passed for f in self.findings)

    @property
    def offset(self) -> float | None:
        """Over-centre offset of the pair that locks, mm, None without one."""
        pair = self.gear.locking if self.gear is not None else None
        return float(pair.shape.over_centre) if pair is not None else None

    @property
    def nose_share(self) -> tuple[float, float, float] | None:
        """Least and greatest part of the weight on the nose wheel, and the part of all loadings inside the band."""
        if self.share is None:
            return None
        ground = self.share.ground
        return ground.share_min.value, ground.share_max.value, self.share.in_band

    @property
    def push(self) -> Floats | None:
        """Actuator force against the weight at the greatest load factor over the poses, N, push positive; NaN where
        the actuator does not drive the gear."""
        if self.actuation is None:
            return None
        row = self.actuation.load_factors.index(self.study.limits.load_factor.max)
        return np.asarray(self.actuation.push[row])

    @property
    def peak(self) -> tuple[float, float] | None:
        """Actuator force of greatest size against the weight, N, and the leg swing where it is, rad."""
        push = self.push
        if push is None or self.stroke is None or not np.isfinite(push).any():
            return None
        at = int(np.nanargmax(np.abs(push)))
        return float(push[at]), float(self.stroke.swing[at])

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """The nearest part of each bay item, least margin first."""
        return self.clearance.per_item() if self.clearance is not None else ()
