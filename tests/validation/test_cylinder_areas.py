"""Areas of hydraulic cylinders. Source: catalogues of hydraulic cylinders."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("cylinder_areas"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
