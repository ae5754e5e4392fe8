"""The period of a pendulum: the integrator of the emergency extension. Source: tables of the period of a pendulum."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("pendulum"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
