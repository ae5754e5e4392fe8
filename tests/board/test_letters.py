"""Texts of the board, put together of kept words and digits, and their room."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.drawing.board.letters import PAD, cover, cut, length, mixed
from linkage.drawing.letters import Pieces

TEXTS = (
    "\u25bc BROKE: tyre (grown) to battery box -16.4 mm, required >= 25",
    "upper pin  FS 1148.0  WL 546.0",
    "fi AVA To",
)


@pytest.mark.parametrize("size", [10.4, 11.8, 14.6, 23.6])
@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", TEXTS)
def test_a_text_is_whole_within_its_pixels(text: str, bold: bool, size: float) -> None:
    ours, whole = cover(text, size, bold), Pieces(72.0, size, bold).line(text)
    assert ours.any() and ours.sum() == whole.sum()
    assert ours.shape[1] == length(text, size, bold) + 2 * PAD


def test_a_text_is_cut_to_its_room() -> None:
    text = "tyre (grown): swept diameter over growth"
    assert cut(text, 11.8, False, length(text, 11.8, False)) == text
    short = cut(text, 11.8, False, 100)
    assert short.endswith("\u2026") and text.startswith(short[:-1])
    assert length(short, 11.8, False) <= 100 < length(text[: len(short) + 1] + "\u2026", 11.8, False)


def test_ink_covers_paper() -> None:
    pixels = mixed(np.array([[0, 255, 51]], dtype=np.uint8), "#000000", "#ffffff")
    red, green, blue, cover = pixels.view(np.uint8).reshape(3, 4).T
    np.testing.assert_array_equal([red, green, blue], [[255, 0, 204]] * 3)
    assert cover.tolist() == [255] * 3
