"""Gaps in every state of gear and engine. Keys end in their unit (docs/conventions.md)."""

from __future__ import annotations

from typing import Any

from linkage.report.sections.space import gap
from linkage.results import Results
from linkage.state_gaps import StateGap, StrutLimit


def states(r: Results) -> dict[str, Any]:
    """Every state with its gaps in mm, and the worst state of each item."""
    review = r.states
    names = list(dict.fromkeys(g.state for g in review.gaps))
    return {
        "worst_per_item": [_row(g) for g in review.worst],
        "by_state": {name: [_row(g) for g in review.of(name)] for name in names},
        "strut_limit": _strut(review.strut) if review.strut is not None else None,
    }


def _row(g: StateGap) -> dict[str, Any]:
    return {"state": g.state, "engine": g.corner or None, "judged": g.judged, "own": g.own, **gap(g.gap)}


def _strut(limit: StrutLimit) -> dict[str, Any]:
    """The first compression that breaks a required gap, and what is met there; null if none does."""
    return {
        "clear_to_mm": limit.clear_to,
        "strut_stroke_mm": limit.stroke,
        "breaks": gap(limit.gap) if limit.gap is not None else None,
    }
