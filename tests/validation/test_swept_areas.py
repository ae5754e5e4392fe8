"""Swept areas and a volume in closed form. Source: closed forms of swept areas and volumes."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("swept_areas"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
