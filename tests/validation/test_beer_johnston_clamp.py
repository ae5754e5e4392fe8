"""Square-threaded clamp. Source: Beer & Johnston, Vector Mechanics: Statics, square-threaded clamp."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("beer_johnston_clamp"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
