"""The manual lists the keys that there are, and the areas of the board never lie over one another."""

from __future__ import annotations

import re

import numpy as np
import pytest

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


def test_runs_of_what_changed_make_the_picture() -> None:
    pytest.importorskip("tornado", reason="needs tornado (the extra web)")
    from linkage.drawing.board.pictures import runs

    rng = np.random.default_rng(1)
    shown = np.zeros(0, dtype=np.uint32)
    last = None
    for change in (1.0, 0.3, 0.0, 0.02):
        new = rng.integers(0, 2**32, (37, 53), dtype=np.uint32)
        picture = new if last is None else np.where(rng.random(new.shape) < change, new, last)
        data = runs(picture, last)
        width, height, count = np.frombuffer(data, "<u4", 3)
        assert (width, height) == (53, 37)
        table = np.frombuffer(data, "<u4", 2 * count, 12).reshape(-1, 2)
        pixels = np.frombuffer(data, "<u4", offset=12 + 8 * count)
        assert table[:, 1].sum() == len(pixels)
        shown = np.resize(shown, width * height)
        for (start, length), end in zip(table, np.cumsum(table[:, 1]), strict=True):
            shown[start : start + length] = pixels[end - length : end]
        assert np.array_equal(shown.reshape(picture.shape), picture)
        last = picture
