"""Gaps in the states of the study: one finding for each item, for its worst state, beside the nominal findings."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.checks.finding import Finding
from linkage.results import Results
from linkage.states import NOMINAL


def states(r: Results) -> Iterator[Finding]:
    """Least gap to each item, mm, in its worst further state; the nominal state is in `linkage.checks.gaps`."""
    for worst in r.states.worst:
        gap = worst.gap
        if worst.state == NOMINAL:
            continue  # judged with its own code
        at = f"{math.degrees(gap.swing) + 0.0:.1f} deg swing"
        state = f"{worst.state} ({worst.corner})" if worst.corner else worst.state
        source = "gear.self_gap" if worst.own else "bay item's required gap, less what the state really does"
        subject = f"{gap.part} to {gap.item}"
        yield Finding("gap-state", subject, gap.gap, f">= {gap.required:g}", gap.margin, "mm", at, state, source)
