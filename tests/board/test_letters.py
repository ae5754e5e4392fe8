"""Texts of the board, put together of kept letters, are what the font sets as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw

from linkage.drawing.board.letters import PAD, _font, cover, cut, length, mixed

TEXTS = (
    "\u25bc BROKE: tyre (grown) to battery box -16.4 mm, required >= 25",
    "upper pin  FS 1148.0  WL 546.0",
    "fi AVA To",
)


@pytest.mark.parametrize("size", [10.4, 11.8, 14.6, 23.6])
@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", TEXTS)
def test_letters_stand_where_the_font_sets_them(text: str, bold: bool, size: float) -> None:
    ours = cover(text, size, bold)
    whole = Image.new("L", (ours.shape[1], ours.shape[0]), 0)
    ImageDraw.Draw(whole).text((PAD, 0), text, fill=255, font=_font(size, bold))
    assert np.abs(ours.astype(int) - np.asarray(whole)).max() <= 40
    assert ours.any()


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
