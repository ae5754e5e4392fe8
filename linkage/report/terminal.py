"""Findings as plain text, worst first, one line each."""

from __future__ import annotations

from linkage.checks import Finding
from linkage.solution import Solution

HEADINGS = ("verdict", "what", "actual", "required", "margin", "where", "state")


def findings_table(solution: Solution) -> str:
    """A table that fits a terminal; one line a finding, the summary first."""
    rows = [_row(f) for f in solution.findings]
    widths = [max(len(row[i]) for row in [HEADINGS, *rows]) for i in range(len(HEADINGS))]
    short = sum(not f.passed for f in solution.findings)
    summary = f"{solution.source.study.title}: " + (
        f"{short} of {len(rows)} findings short" if short else f"all {len(rows)} findings good"
    )
    lines = [
        "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in [HEADINGS, *rows]
    ]
    note = "Preliminary, no compliance showing; loads are limit loads; a licensed engineer and your authority decide."
    return "\n".join([_printable(summary), "", *(_printable(line) for line in lines), "", note])


def _row(f: Finding) -> tuple[str, ...]:
    return (
        "good" if f.passed else "SHORT",
        f.subject,
        f"{number(f.actual)} {f.unit}",
        f.required,
        f"{f.margin:+.3g}" if abs(f.margin) < 1000 else f"{f.margin:+.0f}",
        f.at,
        f.state,
    )


def number(value: float) -> str:
    """Three to four significant digits, never in powers of ten."""
    size = abs(value)
    decimals = 0 if size >= 1000 else 1 if size >= 100 else 2 if size >= 1 else 3
    return f"{value:.{decimals}f}"


def _printable(text: str) -> str:
    """Control characters in names must not steer the terminal."""
    return "".join(c if c.isprintable() else "?" for c in text)
