"""`noseleg check` leaves out brackets and plots, but finds what `noseleg review` finds, to the last digit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from linkage.document.reader import read
from linkage.solution import solve
from tests.studies import MERROW, OSTREL, quick, solution


@pytest.mark.parametrize(
    ("study", "changes"),
    [
        (MERROW, {}),
        (MERROW, {"gear.brace.over_centre": 7.3, "gear.brace.upper_pin[0]": 1138.5}),
        (OSTREL, {}),
        (OSTREL, {"gear.leg.length": 24.1, "gear.brace.over_centre": 0.21}),
    ],
    ids=["demo", "demo changed", "inches", "inches changed"],
)
def test_same_findings(study: Path, changes: dict[str, Any]) -> None:
    if changes:
        check, review = (solve(read(study, changes), closely=closely) for closely in (False, True))
    else:
        check, review = quick(study), solution(study)
    assert check.findings == review.findings
