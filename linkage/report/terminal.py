"""Findings as plain text, worst first, one line each."""

from __future__ import annotations

from collections.abc import Iterator

from linkage.checks import Finding
from linkage.checks.finding import signed
from linkage.report.columns import columns
from linkage.solution import Solution

HEADINGS = ("verdict", "what", "actual", "required", "margin", "where", "state")


def findings_lines(solution: Solution) -> Iterator[str]:
    """A table that fits a terminal; one line a finding, the summary first."""
    rows = [_row(f) for f in solution.findings]
    short = sum(not f.passed for f in solution.findings)
    yield f"{solution.source.study.title}: " + (
        f"{short} of {len(rows)} findings short" if short else f"all {len(rows)} findings good"
    )
    yield ""
    yield from columns([HEADINGS, *rows])
    yield ""
    yield "Preliminary, no compliance showing; loads are limit loads; a licensed engineer and your authority decide."


def _row(f: Finding) -> tuple[str, ...]:
    return (
        "good" if f.passed else "SHORT",
        f.subject,
        f"{f.result} {f.unit}",
        f.required,
        signed(f.margin),
        f.at,
        f.state,
    )
