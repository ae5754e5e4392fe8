"""Tip-back angle and braking increment of Raymer. Source: Raymer, Aircraft Design: A Conceptual Approach, 6th ed.."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("raymer"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
