"""A rod turned by a rising block, and a taxiing jet. Source: Hibbeler, Engineering Mechanics: Dynamics."""

from __future__ import annotations

import math

import pytest

from linkage.report.validation import Check
from linkage.report.validation.dynamics import rising_block
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("hibbeler_dynamics"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_the_rod_is_asked_for_45_degrees_and_drawn_at_20() -> None:
    assert math.degrees(rising_block().angle("rod")[0, 0]) == pytest.approx(45 - 20, abs=1e-12)
