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


def within(
    code: str, subject: str, value: float, limits: Limits, unit: str, at: str = "", state: str = ""
) -> Iterator[Finding]:
    """A value against both ends of a wanted range, each a finding if the study sets it."""
    least, most = limits.ends()
    if least > -math.inf:
        yield Finding(code, subject, value, f">= {least:g}", value - least, unit, at, state, limits.source)
    if most < math.inf:
        yield Finding(code, subject, value, f"<= {most:g}", most - value, unit, at, state, limits.source)


def number(value: float) -> str:
    """A result to be read: three to four significant digits, never in powers of ten."""
    size = abs(value)
    decimals = 0 if size >= 1000 else 1 if size >= 100 else 2 if size >= 1 else 3
    return f"{value:.{decimals}f}"


def signed(margin: float) -> str:
    """A margin to be read, with its sign."""
    return f"{margin:+.3g}" if abs(margin) < 1000 else f"{margin:+.0f}"
