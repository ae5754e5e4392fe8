"""The slider-crank of an engine. Source: Beer & Johnston, Vector Mechanics: Dynamics."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("beer_johnston_dynamics"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
