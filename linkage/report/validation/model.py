"""A published number and what this version of the library makes of the same data."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Case:
    """``status``: READ in a copy of the source, R2 in a transcription that quotes page and equation, MEM from memory,
    CALC worked by hand from the rule or relation named. ``printed``: the number as the source prints it; ``within``:
    tolerance in ``unit``, and ``why`` it is not half of the last printed digit, empty where it is. ``compute`` asks the
    library, in ``unit``."""

    ident: str
    status: str
    inputs: str
    quantity: str
    printed: str
    unit: str
    within: float
    why: str
    compute: Callable[[], float]

    @property
    def published(self) -> float:
        return float(self.printed)


@dataclass(frozen=True)
class Source:
    """``key``: also the name of its test file, tests/validation/test_<key>.py."""

    key: str
    title: str
    cases: Callable[[], Iterator[Case]]


@dataclass(frozen=True)
class Check:
    """A case as computed now."""

    source: Source
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
    status: str,
    inputs: str,
    quantity: str,
    printed: str,
    unit: str,
    compute: Callable[[], float],
    within: float | None = None,
    why: str = "",
) -> Case:
    """A case whose tolerance, if not given with a reason, is half of the last printed digit."""
    if (within is None) != (why == ""):
        raise ValueError(f"{ident} {quantity}: a tolerance of its own needs a reason, and a reason a tolerance")
    tolerance = half_digit(printed) if within is None else within
    return Case(ident, status, inputs, quantity, printed, unit, tolerance, why, compute)
