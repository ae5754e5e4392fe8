"""Strut loads and turnover angle of Roskam, by the extremes over all loadings and by the printed equations.

Source: Roskam, Airplane Design Part II.
"""

from __future__ import annotations

import pytest

from linkage.loading import equations as eq
from linkage.report.validation import Check
from linkage.report.validation.loading import strut
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("roskam"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


@pytest.mark.parametrize("data", [(127000.0, 60.0, 520.0), (64905.0, 20.0, 185.0), (7900.0, 34.0, 171.0)])
def test_extremes_are_the_equations_9_1_and_9_2(data: tuple[float, float, float]) -> None:
    weight, to_main, to_nose = data
    nose, mains = eq.static_split(weight, to_main, to_main + to_nose)
    assert strut(0, *data) == pytest.approx(nose, rel=1e-12)
    assert strut(1, *data) == pytest.approx(mains / 2, rel=1e-12)
