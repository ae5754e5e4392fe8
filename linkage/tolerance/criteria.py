"""What is asked of a gear as made: the same limits that the findings of the drawn gear are judged by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from linkage.document.quantities import Limits
from linkage.mechanism.model import Floats
from linkage.tolerance.followed import (
    DEAD,
    FORCE_LEFT,
    GAP,
    LEAN,
    OFFSET,
    SELF_GAP,
    SHARE_MAX,
    SHARE_MIN,
    TILT,
    TRAVEL,
    Setting,
)


@dataclass(frozen=True)
class Criterion:
    """``low`` and ``high``: wanted range of a result in its own unit, infinite where open."""

    result: str
    low: float
    high: float
    source: str

    def margin(self, values: Floats) -> Floats:
        """Signed margin, short below 0; a gear without a value has minus infinity."""
        room = np.minimum(values - self.low, self.high - values)
        return np.where(np.isnan(values), -np.inf, room)


def criteria(setting: Setting) -> tuple[Criterion, ...]:
    """Every judged result of the setting."""
    return tuple(_criteria(setting))


def _criteria(setting: Setting) -> Iterator[Criterion]:
    study = setting.plan.study
    limits = study.limits
    if setting.plan.gear.locking is not None:
        yield _within(OFFSET, limits.over_centre)
        reserve = limits.lock_reserve
        yield Criterion(TRAVEL, reserve.ends()[0] + setting.back, np.inf, reserve.source)
    if setting.dead:
        yield _within(DEAD, limits.lock_travel)
    for result in dict.fromkeys(w.result for w in setting.watches if w.pair.judged):
        wanted = max(w.wanted for w in setting.watches if w.result == result)
        yield Criterion(result, wanted, np.inf, _gap_source(result))
    band = limits.nose_share
    least, most = band.ends()
    yield Criterion(SHARE_MIN, 100.0 * least, np.inf, band.source)
    yield Criterion(SHARE_MAX, -np.inf, 100.0 * most, band.source)
    yield _within(TILT, limits.steer_axis_tilt)
    yield _within(LEAN, limits.transmission_angle)
    if study.gear.actuator.max_force is not None:
        yield Criterion(FORCE_LEFT, 0.0, np.inf, "gear.actuator.max_force")


def _gap_source(result: str) -> str:
    if result == SELF_GAP:
        return "gear.self_gap"
    if result.startswith(GAP):
        return "bay item's required gap"
    return "required gaps, less what the state really does"


def _within(result: str, limits: Limits) -> Criterion:
    return Criterion(result, *limits.ends(), limits.source)
