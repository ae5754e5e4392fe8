"""Gears as built and as worn: Monte Carlo, worst corners, how far pins may wear, and the rig card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linkage.document.reader import Source
from linkage.tolerance.card import RigCard, RigLine, rig_card
from linkage.tolerance.criteria import Criterion, criteria
from linkage.tolerance.followed import OFFSET, LeftOut, Setting, is_gap
from linkage.tolerance.search import Corner, corner
from linkage.tolerance.setting import setting
from linkage.tolerance.spread import Chance, Spread, Statistic, Tell, spread, wilson
from linkage.tolerance.wear import Wear, WearLimit, wear

__all__ = [
    "Chance",
    "Corner",
    "Criterion",
    "LeftOut",
    "RigCard",
    "RigLine",
    "Setting",
    "Spread",
    "Statistic",
    "ToleranceStudy",
    "Wear",
    "WearLimit",
    "corner",
    "criteria",
    "rig_card",
    "setting",
    "spread",
    "tolerance",
    "wear",
    "wilson",
]


@dataclass(frozen=True)
class ToleranceStudy:
    """Everything about one drawing: ``corners`` of the offset and of each gap, the offset first."""

    source: Source
    setting: Setting
    spread: Spread
    corners: tuple[Corner, ...]
    wear: Wear
    card: RigCard


def tolerance(
    source: Source, samples: int = 100_000, seed: int = 1, executor: Any = None, tell: Tell | None = None
) -> ToleranceStudy:
    """All of it. Raises ``DocumentError`` for tolerances that are all 0 or samples too few, ``MechanismError`` where
    the drawn gear cannot be. The answer does not depend on ``executor``."""
    base = setting(source.study, source.path.parent)
    found = spread(base, samples, seed, executor, tell)
    asked = [c.result for c in criteria(base) if c.result == OFFSET or is_gap(c.result)]
    corners = tuple(corner(base, result) for result in asked)
    worst = corners[0].by.sizes[0] if corners and corners[0].result == OFFSET else None
    return ToleranceStudy(source, base, found, corners, wear(base, worst), rig_card(base, found))
