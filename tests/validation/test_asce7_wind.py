"""Velocity pressure of wind. Source: ASCE 7, velocity pressure of wind."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("asce7_wind"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
