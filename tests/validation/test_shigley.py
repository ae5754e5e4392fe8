"""Square-thread power screw. Source: Shigley, Mechanical Engineering Design, power screws."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("shigley"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
