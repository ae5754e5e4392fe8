"""The validation statement: every published check passes, the page in docs is what the library computes now."""

from __future__ import annotations

from dataclasses import replace

import pytest

from linkage.report.validation import Case, Check, cases, markdown, validation
from linkage.report.validation.model import half_digit
from tests.studies import ROOT

CHECKS = validation()


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.case.ident} {c.case.quantity}"[:60])
def test_every_published_check_passes(check: Check) -> None:
    assert check.passed, f"{check.case.quantity}: {check.computed} for {check.case.published} {check.case.unit}"


def test_page_in_docs_is_what_the_library_computes() -> None:
    assert (ROOT / "docs" / "validation.md").read_text(encoding="utf-8") == markdown(CHECKS)


def test_a_check_that_is_off_fails_and_says_so() -> None:
    one = CHECKS[0]
    off = replace(one, computed=one.case.published + 1.01 * one.case.within)
    assert not off.passed
    assert not replace(one, computed=float("nan")).passed
    assert f"**{len(CHECKS) - 1} of {len(CHECKS)}" in markdown((off, *CHECKS[1:]))
    assert "FAILS" in markdown((off,))


def test_tolerance_follows_the_printed_digits() -> None:
    assert [half_digit(x) for x in ("13138", "-13.2", "3.06", "20.298")] == pytest.approx([0.5, 0.05, 0.005, 0.0005])


def test_statement_covers_the_sources_it_names() -> None:
    found: list[Case] = list(cases())
    assert {f"W{n}" for n in (1, 2, 3, 4, 8, 9, 10, 13, 14, 15)} <= {c.ident for c in found}
    assert {"K1", "K2", "K4", "K8", "T", "Q5-Q8", "A", "B", "C", "D"} <= {c.ident for c in found}
    assert all(c.source and c.status in ("READ", "R2", "MEM", "CALC") and c.unit for c in found)
