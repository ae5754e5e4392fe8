"""Linkages that draw exact lines: Chebyshev's three places, Peaucellier's line.

Source: straight-line linkages of Chebyshev and Peaucellier.
"""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("straight_lines"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
