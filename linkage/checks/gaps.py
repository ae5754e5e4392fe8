"""Clearance to the bay and of the gear to itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.clearance import Gap
from linkage.results import Results
from linkage.states import NOMINAL


def gaps(r: Results) -> Iterator[Finding]:
    """Least gap of each pair to what it requires, mm, nominal state; negative gap: depth of contact."""
    for gap in r.clearance.per_item():
        yield _finding("gap", gap, "bay item's required gap")
    for gap in r.clearance.own[:1]:
        yield _finding("self-gap", gap, "gear.self_gap")


def _finding(code: str, gap: Gap, source: str) -> Finding:
    at = f"{round(math.degrees(gap.swing), 1) + 0.0:.1f} deg swing"
    required = f">= {gap.required:g}"
    return Finding(code, f"{gap.part} to {gap.item}", gap.gap, required, gap.margin, "mm", at, NOMINAL, source)
