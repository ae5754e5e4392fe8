"""A published number and what this version of the library makes of the same data."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Case:
    """``status``: READ in a copy of the source, R2 in a transcription that quotes page and equation, MEM from memory,
    CALC worked by hand from the rule or relation named. ``within``: tolerance in ``unit``, from the printed digits.
    ``compute`` asks the library, in ``unit``."""

    ident: str
    source: str
    status: str
    quantity: str
    published: float
    unit: str
    within: float
    compute: Callable[[], float]


@dataclass(frozen=True)
class Check:
    """A case as computed now."""

    case: Case
    computed: float

    @property
    def difference(self) -> float:
        return self.computed - self.case.published

    @property
    def passed(self) -> bool:
        """Within the tolerance; its own rounding in double precision is allowed for."""
        rounding = 1e-12 * max(1.0, abs(self.case.published))
        return math.isfinite(self.computed) and abs(self.difference) <= self.case.within + rounding


def half_digit(printed: str) -> float:
    """Half a unit of the last digit of a number as it is printed."""
    decimals = len(printed.partition(".")[2])
    return float(0.5 * 10.0**-decimals)


def case(
    ident: str,
    source: str,
    status: str,
    quantity: str,
    printed: str,
    unit: str,
    compute: Callable[[], float],
    within: float | None = None,
) -> Case:
    """A case whose tolerance, if not given, is half of the last printed digit."""
    tolerance = half_digit(printed) if within is None else within
    return Case(ident, source, status, quantity, float(printed), unit, tolerance, compute)
