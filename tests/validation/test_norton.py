"""Positions, rates and forces of Norton's linkages, Freudenstein's equation, Grashof's condition.

Source: Norton, Design of Machinery.
"""

from __future__ import annotations

import pytest

from linkage.mechanism import balance, effort_by_work
from linkage.report.validation import Check
from linkage.report.validation.norton import loaded_four_bar
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("norton"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_k7_both_roads_agree_closer_than_the_print() -> None:
    mechanism, motion, loads = loaded_four_bar()
    torque = balance(mechanism, motion, loads, "O2").effort
    assert torque == pytest.approx(effort_by_work(mechanism, motion, loads, "O2"), rel=1e-12)
