"""What the board shows of a study while a pin is in hand: a glance, and no more of it than is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from linkage.checks import Finding
from linkage.document.study import Study
from linkage.errors import MechanismError
from linkage.gear import Gear
from linkage.glance import Held, glance
from linkage.mechanism.model import Floats
from linkage.stroke import swing_at


@dataclass(frozen=True)
class Shown:
    """Arrays over poses from the lock to leg-up. ``driven`` and ``swing`` in rad, towards up; ``force``: push of the
    actuator in N against the weight at ``load_factor``, NaN where it drives nothing; ``force_limit`` in N, None if the
    study gives none; ``share``: least and greatest nose share, ``band`` the wanted one, as fractions; ``gap``: the two
    nearest points of the tightest pair in mm, with its driven rotation, None without a bay."""

    study: Study
    gear: Gear
    driven: Floats
    swing: Floats
    force: Floats
    load_factor: float
    force_limit: float | None
    share: tuple[float, float]
    band: tuple[float, float]
    gap: tuple[complex, complex, float] | None
    findings: tuple[Finding, ...]

    @property
    def driven_up(self) -> float:
        return float(self.driven[-1])

    def swing_at(self, driven: float) -> float:
        """Leg swing in rad at a driven rotation."""
        return float(swing_at(self.gear, np.array([driven]))[0])


class Judge:
    """Looks at one study after the other, here and now. ``folder``: where they lie."""

    def __init__(self, folder: Path) -> None:
        self.folder, self._held = folder, Held(folder=folder)

    def __call__(self, study: Study) -> Shown:
        """Raises ``MechanismError`` where there is nothing to be shown."""
        return shown_of(study, self._held)

    def anew(self) -> None:
        """Keep nothing: files beside the study may have changed."""
        self._held = Held(folder=self.folder)


def shown_of(study: Study, held: Held) -> Shown:
    """A glance as the board shows it. Raises ``MechanismError`` where there is nothing to be shown."""
    seen = glance(study, held)
    stroke, share = seen.stroke, seen.nose_share
    if seen.trouble or seen.gear is None or stroke is None or share is None or seen.share is None:
        raise MechanismError("; ".join(seen.trouble) or "this gear cannot be shown")
    push, worst = seen.push, seen.gaps[0] if seen.gaps else None
    return Shown(
        study=study,
        gear=seen.gear,
        driven=stroke.driven,
        swing=stroke.swing,
        force=push if push is not None else np.full(len(stroke.driven), np.nan),
        load_factor=study.limits.load_factor.max,
        force_limit=study.gear.actuator.max_force,
        share=share[:2],
        band=seen.share.band,
        gap=(*worst.ends, worst.driven) if worst is not None else None,
        findings=seen.findings,
    )
