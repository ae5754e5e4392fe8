"""Which dimension moves which result, for the review: headline results and the tightest gap, ten dimensions each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from linkage.report.sensitivity_files import HEADINGS, cells, heading
from linkage.sensitivity import Line, sensitivity
from linkage.solution import Solution

TITLE = "Which dimension moves which result"
COLUMNS = ("result", *HEADINGS)
NOTE = (
    "Of every result the ten dimensions that may vary least, or where nothing bounds it move it most, one mm counted"
    " like one degree, kilogram or newton. Derivative: exact at this design. It may vary by: alone, all others exact,"
    " until the nearest bound is reached on a straight line, a guide for changes small against the gear; for: the pair,"
    " place or loading that gets there before the present one. Used: the study's own tolerance as a part of that. *:"
    " places or loadings tie, the steepest way is given. noseleg sensitivity has every derivative."
)


def moves(solution: Solution) -> tuple[Line, ...]:
    """The results of the headline, and the least gap to the bay item with the least margin."""
    worst = solution.results.clearance.worst
    gap = f"gap to {worst.item}" if worst is not None else ""
    return tuple(x for x in sensitivity(solution).lines if x.name == gap or not _is_gap(x))


def _is_gap(line: Line) -> bool:
    return line.name.startswith("gap to ") or line.name == "self gap"


def section(moved: tuple[Line, ...]) -> dict[str, Any]:
    """For results.json: each result with its bounds, and the ten dimensions that move it most."""
    return {line.name: _table(line) for line in moved}


def _table(line: Line) -> dict[str, Any]:
    dimensions = [
        {
            "name": row.dimension.name,
            "unit": row.dimension.unit,
            "derivative": row.derivative,
            "tie": row.kink,
            "may_vary_by": row.allowed,
            "governing": row.governing,
            "stated_tolerance": row.stated,
            "used": row.used,
        }
        for row in line.worst
    ]
    bounds = [{"required": b.required, "margin": b.margin} for b in line.bounds]
    told = {"title": line.title, "unit": line.unit, "value": line.value, "where": line.note, "tie": line.tied}
    return {**told, "bounds": bounds, "dimensions": dimensions}


def rows(moved: tuple[Line, ...]) -> Iterator[tuple[tuple[str, ...], bool]]:
    """Cells of `COLUMNS` and whether the stated tolerance is wider than what is allowed."""
    for line in moved:
        if not line.rows:
            yield (heading(line), line.tied or "none moves it", "", "", "", ""), False
        for row in line.worst:
            yield (heading(line), *cells(line, row)), row.too_wide
