"""How the value of a finding is printed."""

from __future__ import annotations

import pytest

from linkage.checks.finding import Finding, number


@pytest.mark.parametrize(
    ("actual", "least", "printed"),
    [
        (49.996, 50.0, "49.996"),
        (1.4, 1.5, "1.40"),
        (2599.7, 2600.0, "2599.7"),
        (0.49996, 0.5, "0.49996"),
        (49.99999999999, 50.0, "50.000000000"),
        (50.004, 50.0, "50.00"),
    ],
)
def test_what_falls_short_by_little_is_not_printed_as_its_limit(actual: float, least: float, printed: str) -> None:
    found = Finding("gap", "tyre to lip", actual, f">= {least:g}", actual - least, "mm")
    assert found.result == printed
    if found.passed:
        assert found.result == number(actual)
