"""Sheets: true scale on paper, everything inside the frame, nothing of the title block cut by long words."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from matplotlib.backends.backend_agg import RendererAgg

from linkage.drawing.furniture import round_length
from linkage.drawing.palette import DARK
from linkage.drawing.save import svg_text
from linkage.drawing.scene import Path, Role, Scene
from linkage.drawing.sheet import (
    A3,
    A4,
    ANSI_B,
    SIZES,
    Size,
    TitleBlock,
    blank_sheet,
    block_cells,
    draw_sheet,
    scale_text,
    true_scale,
)

BLOCK = TitleBlock("Least margin 0.9 mm", "Invented study", "3fa9c1d2e4b5a6979", "0.1.0", states="strut extended")


@pytest.mark.parametrize("size", list(SIZES.values()), ids=list(SIZES))
def test_a_mm_on_paper_is_scale_mm_of_aircraft(size: Size) -> None:
    sheet = blank_sheet(BLOCK, (330, -80, 1780, 1010), size=size, scale=5)
    assert tuple(sheet.figure.get_size_inches() * 25.4) == pytest.approx((size.width, size.height))
    sheet.figure.canvas.draw()
    a, b, c = sheet.axes.transData.transform([(0, 0), (500, 0), (0, 500)])
    mm = 25.4 / sheet.figure.dpi
    assert (b[0] - a[0]) * mm == pytest.approx(100, abs=1e-6)
    assert (c[1] - a[1]) * mm == pytest.approx(100, abs=1e-6)
    assert (sheet.window[0] + sheet.window[2]) / 2 == pytest.approx((330 + 1780) / 2)


def test_true_scale_in_the_file_itself() -> None:
    """A 1000 mm line at 1 : 5 must be 200 mm long in the SVG, whose size is given in points."""
    line = Scene((Path((500 + 300j, 1500 + 300j), False, Role.WORST),), window=(400, 0, 1600, 700))
    svg = svg_text(draw_sheet(line, BLOCK, size=A3, scale=5).figure)
    assert float(re.search(r'width="([\d.]+)pt"', svg).group(1)) == pytest.approx(420 / 25.4 * 72, abs=0.01)  # type: ignore[union-attr]
    lengths = [
        abs(float(x1) - float(x0)) for x0, x1 in re.findall(r'd="M ([\d.]+) [\d.]+ \nL ([\d.]+) [\d.]+ \n"', svg)
    ]
    assert any(abs(length / 72 * 25.4 - 200) < 0.01 for length in lengths)


def test_standard_scales() -> None:
    assert true_scale((0, 0, 1000, 100), A3) == 5
    assert true_scale((0, 0, 1000, 100), A4) == 5
    assert true_scale((0, 0, 1450, 1090), A4) == 10
    assert true_scale((0, 0, 1450, 1090), ANSI_B) == 8
    assert true_scale((0, 0, 1e6, 1), A4) == pytest.approx(1e6 / A4.drawing_area()[2])
    assert (scale_text(5), scale_text(0.5), scale_text(1)) == ("1 : 5", "2 : 1", "1 : 1")


def test_title_block_is_180_mm_wide_without_gaps() -> None:
    cells = block_cells(BLOCK, A3, 5)
    assert sum(c.width * c.height for c in cells) == pytest.approx(180 * 42)
    assert max(c.x + c.width for c in cells) == 180
    said = {c.caption: c.value for c in cells}
    assert said["Identification (study hash)"] == "3fa9c1d2e4b5"
    assert (said["Scale"], said["Units"], said["Size"], said["Approved by"]) == ("1 : 5", "mm", "A3", "")


@pytest.mark.parametrize("size", [A4, ANSI_B], ids=["A4", "ANSI B"])
def test_texts_of_a_full_sheet_stay_on_it_and_apart(size: Size) -> None:
    long = replace(BLOCK, title="Least margin " * 30, study="$study$ <b> " * 20, owner="W" * 90, states="state, " * 60)
    sheet = blank_sheet(long, (0, 0, 1450, 1090), size=size, theme=DARK, roles=tuple(Role))
    renderer = RendererAgg(8, 8, 100)  # type: ignore[no-untyped-call]
    paper = sheet.figure.axes[0]
    boxes = [(t.get_text(), t.get_window_extent(renderer)) for t in paper.texts if t.get_text()]
    mm = 25.4 / 100
    for text, box in boxes:
        assert box.x0 * mm >= 0 and box.x1 * mm <= size.width - 5, text
    for k, (text, a) in enumerate(boxes):
        for other, b in boxes[k + 1 :]:
            assert min(a.x1, b.x1) - max(a.x0, b.x0) < 1 or min(a.y1, b.y1) - max(a.y0, b.y0) < 1, (text, other)
    words = [t.get_text() for t in paper.texts]
    assert set(words) >= {role.value for role in Role}


def test_scale_bar_lengths_are_round() -> None:
    assert [round_length(x) for x in (105, 210, 399, 400, 9.9)] == [100, 200, 200, 400, 4]
