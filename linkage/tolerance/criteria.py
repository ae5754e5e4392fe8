"""What is asked of a gear as made: the same limits that the findings of the drawn gear are judged by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from linkage.document.quantities import Limits
from linkage.mechanism.model import Floats
from linkage.tolerance.followed import FORCE_LEFT, LEAN, OFFSET, SHARE_MAX, SHARE_MIN, TILT, TRAVEL, Setting, gap_name


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
    for item in dict.fromkeys(w.item.name for w in setting.watches):
        required = max(w.required for w in setting.watches if w.item.name == item)
        yield Criterion(gap_name(item), required, np.inf, "bay item's required gap")
    band = limits.nose_share
    least, most = band.ends()
    yield Criterion(SHARE_MIN, 100.0 * least, np.inf, band.source)
    yield Criterion(SHARE_MAX, -np.inf, 100.0 * most, band.source)
    yield _within(TILT, limits.steer_axis_tilt)
    yield _within(LEAN, limits.transmission_angle)
    if study.gear.actuator.max_force is not None:
        yield Criterion(FORCE_LEFT, 0.0, np.inf, "gear.actuator.max_force")


def _within(result: str, limits: Limits) -> Criterion:
    return Criterion(result, *limits.ends(), limits.source)
