"""Published tyre sizes, loaded and grown. Inches as printed; tolerances from the printed digits or as stated."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkage.tyres import PUBLISHED, grown, grown_mm, published

# Published grown sizes, manufacturer tables, READ. Maxima and rims of the three large sizes are from memory, confirmed
# by the match; those of the two small ones are rows of the table. The formula (Tire and Rim Association, from memory)
# is known to reproduce the tables to 0.02 in on the diameter and 0.03 in on the width.
GROWN = [
    pytest.param((25.75, 6.65, 14.0), (26.32, 6.92), (0.005, 0.005), id="26x6.6"),
    pytest.param((39.80, 14.00, 16.0), (41.02, 14.56), (0.005, 0.005), id="40x14"),
    pytest.param((48.75, 17.25, 20.0), (50.26, 17.94), (0.005, 0.005), id="49x17"),
    pytest.param((14.50, 5.50, 6.0), (15.00, 5.75), (0.02, 0.03), id="14.5x5.5-6"),
    pytest.param((16.00, 4.45, 8.0), (16.40, 4.65), (0.02, 0.03), id="16x4.4"),
]


@pytest.mark.parametrize(("new", "after", "within"), GROWN)
def test_growth_reproduces_published_grown_sizes(new, after, within) -> None:
    found = grown(*new)
    assert found.diameter == pytest.approx(after[0], abs=within[0])
    assert found.width == pytest.approx(after[1], abs=within[1])


def test_growth_of_the_demo_tyre() -> None:
    """5.00-5: 14.62 x 5.15 in, computed in the reference sheet in plain arithmetic."""
    row = PUBLISHED["5.00-5"]
    found = grown(row.diameter_max, row.width_max, row.rim)
    assert (found.diameter, found.width) == (pytest.approx(14.62, abs=0.005), pytest.approx(5.15, abs=0.005))
    assert grown_mm(row).diameter == pytest.approx(found.diameter * 25.4, rel=1e-15)


@pytest.mark.parametrize(
    ("size", "maximum", "least", "width", "radius"),
    [
        # Manufacturer data section, READ (width of 6.00-6 from memory).
        ("5.00-5 III", 14.20, 13.65, (4.95, 4.65), 5.70),
        ("6.00-6", 17.5, 16.8, (6.30, 5.90), 6.90),
        ("13.5x6.0-4", 13.75, 13.20, (6.10, 5.75), 5.35),
        ("14.5 X 5.5-6", 14.50, 14.00, (5.50, 5.15), 6.10),
        ("15x6.0-6", 15.20, 14.55, (6.30, 5.90), 6.10),
        ("16x4.4", 16.00, 15.50, (4.45, 4.15), 6.90),
    ],
)
def test_table_is_as_printed(size, maximum, least, width, radius) -> None:
    row = published(size)
    assert row is not None
    assert (row.diameter_max, row.diameter_min, row.loaded_radius) == (maximum, least, radius)
    assert (row.width_max, row.width_min) == width


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
