"""The pin force of a slider-crank with inertia, printed as exact expressions.

Source: Marghitu, Mechanisms and Robots Analysis with MATLAB, p. 144.
"""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("marghitu_matlab"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
