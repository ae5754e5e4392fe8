"""Euler loads. Source: Hibbeler, Mechanics of Materials."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("hibbeler_materials"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
