"""The cases of one source, from the list the validation page is written from, computed once."""

from __future__ import annotations

from functools import cache

from linkage.report.validation import SOURCES, Check
from linkage.report.validation import checked as compute


@cache
def checked(key: str) -> tuple[Check, ...]:
    return compute(next(s for s in SOURCES if s.key == key))


def named(check: Check) -> str:
    return f"{check.case.ident} {check.case.inputs}, {check.case.quantity}"[:90]


def passes(check: Check) -> None:
    c = check.case
    assert check.passed, f"{c.inputs}, {c.quantity}: {check.computed} for {c.printed} {c.unit} within {c.within}"


def printed(key: str, ident: str, quantity: str) -> float:
    """What a source prints, for a second road to the same number."""
    (found,) = (c.case for c in checked(key) if c.case.ident == ident and c.case.quantity == quantity)
    return found.published
