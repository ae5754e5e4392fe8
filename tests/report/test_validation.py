"""The validation statement: the page in docs is what the library computes now, each source has its test file."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from linkage.report.validation import SOURCES, markdown, validation
from linkage.report.validation.model import case, half_digit
from tests.studies import ROOT

CHECKS = validation()
FILED = ROOT / "docs" / "second_engines.json"


def test_page_in_docs_is_what_the_library_computes() -> None:
    filed = json.loads(FILED.read_text(encoding="utf-8"))
    assert (ROOT / "docs" / "validation.md").read_text(encoding="utf-8") == markdown(CHECKS, filed)


def test_every_source_has_its_test_file_and_every_file_its_source() -> None:
    files = {p.stem.removeprefix("test_") for p in (ROOT / "tests" / "validation").glob("test_*.py")}
    assert files == {s.key for s in SOURCES}
    for source in SOURCES:
        text = (ROOT / "tests" / "validation" / f"test_{source.key}.py").read_text(encoding="utf-8")
        assert f'checked("{source.key}")' in text and "passes(check)" in text


def test_a_check_that_is_off_fails_and_says_so() -> None:
    one = CHECKS[0]
    off = replace(one, computed=one.case.published + 1.01 * one.case.within)
    assert one.passed and not off.passed
    assert not replace(one, computed=float("nan")).passed
    assert f"**{len(CHECKS) - 1} of {len(CHECKS)}" in markdown((off, *CHECKS[1:]))
    assert "FAILS" in markdown((off,))


def test_tolerance_follows_the_printed_digits() -> None:
    assert [half_digit(x) for x in ("13138", "-13.2", "3.06", "20.298")] == pytest.approx([0.5, 0.05, 0.005, 0.0005])


@pytest.mark.parametrize("own", [(0.1, ""), (None, "because")], ids=["no reason", "no tolerance"])
def test_another_tolerance_needs_a_reason(own: tuple[float | None, str]) -> None:
    with pytest.raises(ValueError, match="reason"):
        case("X", "READ", "inputs", "quantity", "1.0", "m", lambda: 1.0, *own)


def test_statement_covers_the_references() -> None:
    found = [c.case for c in CHECKS]
    wanted = {f"W{n}" for n in (1, 2, 3, 4, 6, 8, 9, 10, 13, 14, 15, 18, 19)} | {f"K{n}" for n in range(1, 11)}
    wanted |= {"M2", "M4", "Q1", "Q3", "Q5-Q8", "Q9", "Q10", "T", "A", "B", "C", "D", "E", "P2", "S1", "S2", "S3", "S4"}
    assert wanted <= {c.ident for c in found}
    assert all(c.inputs and c.quantity and c.unit and c.status in ("READ", "R2", "MEM", "CALC") for c in found)


def test_rows_of_the_page_keep_their_columns() -> None:
    """No text of a case breaks the table."""
    rows = [line for line in markdown(CHECKS).splitlines() if line.endswith(("| passes |", "| FAILS |"))]
    assert len(rows) == len(CHECKS)
    assert {row.count("|") for row in rows} == {11}
