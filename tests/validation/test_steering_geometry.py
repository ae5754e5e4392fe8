"""Trail, lift and flop. Source: steering geometry, standard form and a published example."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("steering_geometry"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
