"""Files: the same bytes every time, no tool names or dates, alternative text inside, written whole."""

from __future__ import annotations

import io
import re
from pathlib import Path as File

import matplotlib
import pytest
from matplotlib.figure import Figure
from PIL import Image

from linkage.drawing.axes import house, new_figure
from linkage.drawing.paint import paint
from linkage.drawing.save import png_bytes, save, svg_text
from tests.drawing.crowd import crowded


def picture() -> Figure:
    figure = new_figure(500, 400)
    with house():
        ax = figure.add_axes((0.07, 0.07, 0.9, 0.86))
    paint(crowded(), ax)
    return figure


SETTINGS = {"savefig.bbox": "tight", "path.sketch": (1, 2, 3), "axes.grid": True, "text.color": "red", "svg.id": "mine"}


@pytest.fixture(scope="module")
def two() -> tuple[Figure, Figure]:
    """The same picture twice, the second made under a user's own settings."""
    first = picture()
    with matplotlib.rc_context(SETTINGS):  # type: ignore[arg-type]
        return first, picture()


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf"])
def test_two_runs_give_the_same_bytes(two: tuple[Figure, Figure], tmp_path: File, suffix: str) -> None:
    a, b = (save(f, tmp_path / f"{k}{suffix}", title="T", alt="A").read_bytes() for k, f in enumerate(two))
    assert a == b
    assert save(two[0], tmp_path / f"again{suffix}", title="T", alt="A").read_bytes() == a
    assert b"Matplotlib" not in a
    assert b"matplotlib.org" not in a
    assert not re.search(rb"20\d\d-\d\d-\d\dT", a)
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"0{suffix}", f"1{suffix}", f"again{suffix}"]


def test_user_settings_change_nothing(two: tuple[Figure, Figure]) -> None:
    own = png_bytes(two[0])
    with matplotlib.rc_context(SETTINGS):  # type: ignore[arg-type]
        assert png_bytes(two[1]) == own


def test_alternative_text(two: tuple[Figure, Figure]) -> None:
    svg = svg_text(two[0], title="A & B", alt="Nose <gear>")
    assert "<desc>Nose &lt;gear&gt;</desc>" in svg
    assert 'aria-label="A &amp; B"' in svg
    info = Image.open(io.BytesIO(png_bytes(two[0], title="A & B", alt="Nose <gear>"))).info
    assert (info["Title"], info["Description"]) == ("A & B", "Nose <gear>")
    assert "Software" not in info


def test_ids_differ_with_the_salt(two: tuple[Figure, Figure]) -> None:
    clips = [set(re.findall(r'clipPath id="(\w+)"', svg_text(two[0], salt=salt))) for salt in ("one", "two")]
    assert clips[0]
    assert not clips[0] & clips[1]


def test_no_nan_in_svg(two: tuple[Figure, Figure]) -> None:
    assert not re.search(r"\b(nan|inf)\b", svg_text(two[0]), re.IGNORECASE)


def test_other_kinds_are_refused(two: tuple[Figure, Figure], tmp_path: File) -> None:
    with pytest.raises(ValueError, match=r"'\.bmp'; one of \.svg, \.png, \.pdf"):
        save(two[0], tmp_path / "x.bmp")
    assert not list(tmp_path.iterdir())
