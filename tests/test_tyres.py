"""Tyre growth as a function, and what is refused. Published sizes: tests/validation/test_tyre_growth.py."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.tyres import PUBLISHED, grown, grown_mm, published


def test_grown_in_millimetres() -> None:
    row = PUBLISHED["5.00-5"]
    assert grown_mm(row).diameter == pytest.approx(grown(row.diameter_max, row.width_max, row.rim).diameter * 25.4)


def test_every_row_can_be_a_tyre() -> None:
    for row in PUBLISHED.values():
        assert row.rim / 2 < row.loaded_radius < row.diameter_min / 2 <= row.diameter_max / 2
        assert row.width_min < row.width_max
        assert row.source
    assert published("26x6.6") is None


@settings(derandomize=True, max_examples=60, deadline=None)
@given(rim=st.floats(4, 20), section=st.floats(1.5, 10), width=st.floats(3, 18))
def test_growth_grows_and_scales(rim: float, section: float, width: float) -> None:
    diameter = rim + 2 * section
    found = grown(diameter, width, rim)
    if section / width <= 1.5:  # the form is for tyres about as high as wide
        assert found.diameter > diameter
    assert found.width == pytest.approx(1.04 * width, rel=1e-15)
    twice = grown(2 * diameter, 2 * width, 2 * rim)
    assert twice.diameter == pytest.approx(2 * found.diameter, rel=1e-14)


@pytest.mark.parametrize("size", [(5.0, 4.0, 5.0), (14.0, 0.0, 5.0), (14.0, 4.0, 0.0)])
def test_what_is_no_tyre_is_refused(size) -> None:
    with pytest.raises(ValueError, match="diameter > rim > 0"):
        grown(*size)
