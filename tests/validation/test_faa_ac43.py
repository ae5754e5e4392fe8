"""CG tables of AC 43.13-1B, as loadings of a model. Source: FAA AC 43.13-1B, chapter 10."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("faa_ac43"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
