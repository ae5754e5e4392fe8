"""Published checks, computed anew by this version of the library each time they are asked for.

The numbers a source prints stand in the cases, with its name, how it is known, and a tolerance that follows from the
printed digits. Nothing computed is stored: a change of the library that breaks a check shows in the review pack and in
docs/validation.md, which ``python -m linkage.report.validation`` writes.
"""

from __future__ import annotations

from collections.abc import Iterator

from linkage.report.validation.drive import drive_cases
from linkage.report.validation.loading import loading_cases
from linkage.report.validation.model import Case, Check
from linkage.report.validation.motion import motion_cases
from linkage.report.validation.wheels import wheel_cases

__all__ = ["Case", "Check", "cases", "markdown", "validation"]

STATUS = (
    "READ: inputs and answer read in a copy of the source; R2: read in a transcription that quotes page and equation;"
    " MEM: from memory; CALC: worked by hand from the rule or relation named."
)


def cases() -> Iterator[Case]:
    """Every published check, load split first."""
    yield from loading_cases()
    yield from motion_cases()
    yield from wheel_cases()
    yield from drive_cases()


def validation() -> tuple[Check, ...]:
    """Compute every case now."""
    return tuple(Check(c, float(c.compute())) for c in cases())


def shown(check: Check) -> str:
    """The computed number with two digits more than the source prints, and no minus before a zero."""
    decimals = 4 if check.case.within == 0.0 else max(0, 2 - _place(check.case.within))
    return f"{round(check.computed, min(decimals, 6)) + 0.0:.{min(decimals, 6)}f}"


def _place(value: float) -> int:
    """Place of the first digit of a positive number: 0.005 -> -3."""
    return int(f"{value:e}".partition("e")[2])


def markdown(checks: tuple[Check, ...]) -> str:
    """docs/validation.md."""
    good = sum(c.passed for c in checks)
    lines = [
        "# Validation",
        "",
        "Written by `python -m linkage.report.validation > docs/validation.md`; a test compares it with what the"
        f" library computes. {STATUS}",
        "Tolerances are half of the last printed digit unless the case says why not. The values and their sources are"
        " also in `tests/validation`.",
        "",
        f"**{good} of {len(checks)} published checks pass.**",
        "",
        "| id | source | status | quantity | published | tolerance | computed | unit | verdict |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for x in checks:
        c = x.case
        verdict = "passes" if x.passed else "FAILS"
        cells = (c.ident, c.source, c.status, c.quantity, f"{c.published:.10g}", f"{c.within:g}", shown(x), c.unit)
        lines.append(f"| {' | '.join(cells)} | {verdict} |")
    return "\n".join(lines) + "\n"
