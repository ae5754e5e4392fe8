"""The toggle, Q = 2 P tan(alpha), as a linkage and as the lock of a gear. Source: Den Hartog, Mechanics."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("den_hartog"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
