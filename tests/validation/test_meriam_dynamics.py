"""The slider-crank of an engine and a crossed four-bar. Source: Meriam & Kraige, Engineering Mechanics: Dynamics."""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("meriam_dynamics"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
