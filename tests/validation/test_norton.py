"""Positions, rates and forces of Norton's linkages, Freudenstein's equation, Grashof's condition.

Source: Norton, Design of Machinery.
"""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from linkage.report.validation.linkages import by_pins, by_work
from linkage.report.validation.norton import PIVOT, loaded_four_bar
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("norton"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_k7_both_roads_agree_closer_than_the_print() -> None:
    found = loaded_four_bar()
    assert by_pins(*found, PIVOT) == pytest.approx(by_work(*found, PIVOT), rel=1e-12)
