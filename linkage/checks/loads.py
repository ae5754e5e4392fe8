"""Buckling of the brace at ultimate load."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results


def loads(r: Results) -> Iterator[Finding]:
    """Members in compression against buckling at ultimate load, N."""
    press = next((g for g in r.loads.governing if (g.part, g.what) == ("drag brace", "compression")), None)
    for column in r.loads.columns:
        yield Finding(
            "brace-buckling",
            f"{column.member}: compression, ULTIMATE",
            column.ultimate,
            f"<= {column.capacity:.0f}",
            column.capacity - column.ultimate,
            "N",
            "locked down",
            press.load.condition.name if press else "",
            f"{column.method} column; safety factor {r.loads.safety_factor:g}, {r.study.conditions.safety_source}",
        )
