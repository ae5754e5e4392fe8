"""Published tyre sizes as the library holds them. Source: manufacturer data section, tyre sizes."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("tyre_sizes"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
