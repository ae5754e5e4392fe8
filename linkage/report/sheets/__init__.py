"""Worked calculations for the numbers a reviewer challenges, from the symbols, independent of the solver."""

from __future__ import annotations

from linkage.report.sheets.gear import gear_sheets
from linkage.report.sheets.ground import ground_sheets
from linkage.report.sheets.model import Given, Sheet, disagreements
from linkage.results import Results

__all__ = ["Given", "Sheet", "disagreements", "sheets"]


def sheets(r: Results) -> tuple[Sheet, ...]:
    """All sheets that apply to this study, load share first."""
    return (*ground_sheets(r), *gear_sheets(r))
