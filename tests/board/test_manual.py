"""The manual lists the keys that there are, and the areas of the board never lie over one another."""

from __future__ import annotations

import io
import re

import numpy as np
import pytest
from PIL import Image

from linkage.drawing.board.keys import told
from linkage.drawing.board.layout import lay_out
from tests.studies import ROOT


def test_the_manual_lists_every_key() -> None:
    text = (ROOT / "docs" / "board.md").read_text()
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", text.partition("## Keys")[2], re.MULTILINE)[1:]
    plain = [(re.sub(r"[`,\s]", "", keys), meaning) for keys, meaning in rows if keys != "---"]
    assert plain == [(re.sub(r"[,\s]", "", keys), meaning) for keys, meaning in told()]


@pytest.mark.parametrize("size", [(8.0, 5.0), (10.0, 6.4), (12.8, 8.0), (19.2, 10.8), (38.4, 21.6)])
def test_areas_lie_in_the_window_and_apart(size: tuple[float, float]) -> None:
    plan = lay_out(*size)
    boxes = [plan.side, plan.stroke, plan.share, plan.force, plan.knee, plan.gaps, plan.findings, plan.foot]
    for i, (x, y, w, h) in enumerate(boxes):
        assert w > 0.05 and h * size[1] > 0.15 and x >= 0 and y >= 0 and x + w <= 1 and y + h <= 1
        for x1, y1, w1, h1 in boxes[:i]:
            assert x + w <= x1 + 1e-9 or x1 + w1 <= x + 1e-9 or y + h <= y1 + 1e-9 or y1 + h1 <= y + 1e-9
    assert plan.gap_rows >= 2 and plan.finding_rows >= 2


def test_a_picture_is_packed_as_it_is() -> None:
    pytest.importorskip("tornado", reason="needs tornado (the extra web)")
    from linkage.drawing.board.pictures import packed

    pixels = np.random.default_rng(1).integers(0, 256, (37, 53, 4), dtype=np.uint8)
    pixels[5:30] = 0
    image = Image.open(io.BytesIO(packed(pixels)))
    image.load()
    assert (image.mode, image.size) == ("RGBA", (53, 37))
    assert np.array_equal(np.asarray(image), pixels)
