"""Load on three wheels, problems of college physics. Source: college-physics text problems."""

from __future__ import annotations

import pytest

from linkage.loading import equations as eq
from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes, printed


@pytest.mark.parametrize("check", checked("college_physics"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_w10_by_the_equation() -> None:
    nose, mains = eq.static_split(2850.0, 15.0 - 11.8, 15.0)
    assert nose == pytest.approx(printed("college_physics", "W10", "nose load"), abs=0.5)
    assert mains / 2 == pytest.approx(printed("college_physics", "W10", "load on each of 2 mains"), abs=0.5)
