"""Letters put together from kept pictures look as matplotlib would draw them, wherever they stand."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties

from linkage.drawing.animation import redraw
from linkage.drawing.axes import FONTS, TEXT_SIZE, new_figure
from linkage.drawing.letters import Letters, pieces
from linkage.drawing.palette import DARK, LIGHT

LINES = ["leg swing 61.3 deg", "actuator 1380.25 mm", "Ölsieb (naß): -0.7 mm", "motorino àèì, 7 %"]


def frame(
    lines: list[str], at: tuple[float, float] = (20.0, 100.0), right: bool = False, **options: object
) -> np.ndarray:
    figure = new_figure(320, 120)
    letters = Letters(LIGHT, figure.dpi, **options)  # type: ignore[arg-type]
    figure.add_artist(letters)
    letters.show(lines, at, right)
    return redraw(figure)[..., :3].astype(int)


@pytest.mark.parametrize("line", LINES)
def test_a_line_looks_as_matplotlib_draws_it(line: str) -> None:
    figure = new_figure(320, 120)
    letters = Letters(LIGHT, figure.dpi)
    base = 100 - letters.kept.above
    font = FontProperties(family=list(FONTS), size=TEXT_SIZE)
    style = {"fontproperties": font, "color": LIGHT.ink, "parse_math": False, "va": "baseline"}
    figure.text(20 / 320, base / 120, line, **style)  # type: ignore[arg-type]
    theirs = redraw(figure)[..., :3].astype(int)
    ours = frame([line])
    assert (theirs < 128).sum() > 100
    # Rounding of colours, and the pixels where two letters meet.
    assert np.abs(ours - theirs).mean() < 0.02
    assert (np.abs(ours - theirs).max(axis=-1) > 3).sum() <= 6


def test_letters_that_stand_closer_end_where_matplotlib_ends_them() -> None:
    """Kerned letters stand on parts of a pixel within a word; the next word begins on a whole one."""
    line = "Kühler, Wert AVATAR To Yo 1.5"
    letters = Letters(LIGHT, 100.0)
    extent = letters.kept.pen.get_text_width_height_descent(line, letters.kept.font, False)[0]
    assert letters.kept.width(line) == pytest.approx(extent, abs=0.5 * len(line.split()))


def test_a_place_moves_letters_and_changes_nothing_else() -> None:
    here, there = frame(["margin 12.8 mm"], (20.2, 60.0)), frame(["margin 12.8 mm"], (51.4, 83.3))
    assert np.array_equal(np.roll(here, (-23, 31), (0, 1)), there)


def test_right_letters_end_where_left_ones_begin() -> None:
    left, right = frame(["1234"], (160.0, 60.0)), frame(["1234"], (160.0, 60.0), right=True)
    inked = [np.nonzero((picture < 128).any(axis=(0, 2)))[0] for picture in (left, right)]
    assert inked[1].max() <= 160 <= inked[0].min()
    assert inked[0].min() - inked[1].min() == pytest.approx(4 * 8, abs=1)


def test_ground_lies_under_the_letters_only() -> None:
    figure = new_figure(320, 120, theme=DARK)
    letters = Letters(LIGHT, figure.dpi, ground=True)
    figure.add_artist(letters)
    letters.show(["gap"], (20.0, 60.0))
    picture = redraw(figure)[..., :3].astype(int)
    light = np.nonzero((picture > 180).all(axis=-1))
    assert 60 <= 120 - light[0].min() <= 64
    assert 16 <= light[1].min() <= 20 < light[1].max() < 60


def test_hidden_and_empty_letters_draw_nothing() -> None:
    blank = redraw(new_figure(320, 120))[..., :3]
    assert np.array_equal(frame([]), blank)
    assert np.array_equal(frame([""]), blank)


def test_harmful_text_is_one_line_of_letters() -> None:
    assert np.array_equal(frame(["a\nb\x1b[2J $x^2$"]), frame(["a b [2J $x^2$"]))


def test_words_stay_whole_and_digits_stand_alone() -> None:
    assert pieces("tyre 12.5 mm") == ("tyre", " ", "1", "2", ".", "5", " ", "mm")
    assert "".join(pieces("a  b1c")) == "a  b1c"
    assert pieces("גלגל 12") == ("גלגל 12",)
