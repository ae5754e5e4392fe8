"""Johnson's parabola and Euler's curve as the steel tables print them.

Source: AISC specification, allowable stress design, columns.
"""

from __future__ import annotations

import pytest

from linkage.report.validation import Check
from tests.validation.bench import checked, named, passes


@pytest.mark.parametrize("check", checked("aisc_columns"), ids=named)
def test_published(check: Check) -> None:
    passes(check)
