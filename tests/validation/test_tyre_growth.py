"""Grown sizes of tyres. Source: manufacturer tables of grown tyre sizes."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("tyre_growth"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
