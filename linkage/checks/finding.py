"""One judged result, and the range check that most of them are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from linkage.document.quantities import Limits


@dataclass(frozen=True)
class Finding:
    """One judged result. ``margin`` is signed in ``unit``; ``at``: where on the stroke; ``source``: of the limit."""

    code: str
    subject: str
    actual: float
    required: str
    margin: float
    unit: str
    at: str = ""
    state: str = ""
    source: str = ""

    @property
    def passed(self) -> bool:
        """The pass rule, written once."""
        return self.margin >= 0.0

    @property
    def result(self) -> str:
        """What was found, as `number` has it; what falls short by less than that shows has more digits."""
        decimals = _decimals(self.actual)
        while not self.passed and abs(self.margin) < 10.0**-decimals and decimals < MOST_DECIMALS:
            decimals += 1
        return f"{self.actual:.{decimals}f}"


def within(
    code: str, subject: str, value: float, limits: Limits, unit: str, at: str = "", state: str = ""
) -> Iterator[Finding]:
    """A value against both ends of a wanted range, each a finding if the study sets it."""
    least, most = limits.ends()
    if least > -math.inf:
        yield Finding(code, subject, value, f">= {least:g}", value - least, unit, at, state, limits.source)
    if most < math.inf:
        yield Finding(code, subject, value, f"<= {most:g}", most - value, unit, at, state, limits.source)


MOST_DECIMALS = 9


def number(value: float) -> str:
    """A result to be read: three to four significant digits, never in powers of ten."""
    return f"{value:.{_decimals(value)}f}"


def _decimals(value: float) -> int:
    size = abs(value)
    return 0 if size >= 1000 else 1 if size >= 100 else 2 if size >= 1 else 3


def signed(margin: float) -> str:
    """A margin to be read, with its sign."""
    return f"{margin:+.3g}" if abs(margin) < 1000 else f"{margin:+.0f}"
