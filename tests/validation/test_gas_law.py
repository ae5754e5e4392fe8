"""The force of a cold gas spring. Source: gas law."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("gas_law"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
