"""Weighings of the FAA's handbook: on the scales of the library and by the handbook's own line.

Source: FAA-H-8083-1B, chapter 3 and weighing examples.
"""

from __future__ import annotations

import pytest

from linkage.loading import Reading, weigh
from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("faa_weighing"), ids=named)
def test_published(check: Check) -> None:
    passes(check)


def test_the_scales_keep_the_weight() -> None:
    assert weigh([Reading("nose", 340.0, -78.0, "wheel"), Reading("mains", 1666.0, 0.0, "group")]).mass_kg == 2006.0
