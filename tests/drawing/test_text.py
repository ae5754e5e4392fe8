"""User text stays text: no mathematics, no markup, no control codes, no surprises in the direction of reading."""

from __future__ import annotations

from pathlib import Path as File
from xml.etree import ElementTree

import numpy as np
import pytest

from linkage.drawing.animation import redraw
from linkage.drawing.axes import dress, new_figure
from linkage.drawing.paint import paint
from linkage.drawing.save import png_bytes, save, svg_text
from linkage.drawing.scene import Disc, Role, Scene
from linkage.drawing.text import escaped, plain, wrapped

NASTY = (
    "$x^2$ & <b>bold</b>",
    "cost $5",
    r"\frac{1}{2} $\alpha$ \$",
    "]]> --> <script>alert(1)</script>",
    "מיכל דלק",
    "مبرد الزيت",
    "a\u202ebdetrevni\u202c b",
    "line\nbreak\ttab\x00\x1b[31m",
    "x" * 500,
    "\ud800 lone, \uffff none",
    "{braces} %s %(x)s _under_ ^up~",
)


def test_plain() -> None:
    assert plain(" a \n b\t\x00c ") == "a b c"
    assert plain("a\u202eb\u2066c\ufeff") == "abc"
    assert plain("\ud800x\uffff\ufdd0") == "x"
    assert plain("abcdef", 4) == "abc…"
    assert plain("") == ""
    assert escaped("$5") == r"\$5"


def test_wrapped_keeps_within_its_lines() -> None:
    text = wrapped("word " * 100, 20, 3)
    lines = text.split("\n")
    assert len(lines) == 3
    assert all(len(line) <= 20 for line in lines)
    assert text.endswith("…")
    assert wrapped("x" * 100, 20, 2).count("\n") == 1
    assert wrapped("") == ""


def nasty_scene() -> Scene:
    discs = tuple(Disc(300 * (k % 4) + 300j * (k // 4), 60, Role.BAY, text) for k, text in enumerate(NASTY))
    return Scene(discs, title=" ".join(NASTY[:4]), caption=" ".join(NASTY))


@pytest.mark.filterwarnings("error")
def test_nasty_names_can_be_painted_and_saved(tmp_path: File) -> None:
    figure = new_figure(800, 600)
    paint(nasty_scene(), figure.add_axes((0.06, 0.06, 0.9, 0.84)))
    for suffix in (".svg", ".png", ".pdf"):
        save(figure, tmp_path / f"nasty{suffix}", title=nasty_scene().title, alt=nasty_scene().caption)
    tree = ElementTree.fromstring((tmp_path / "nasty.svg").read_text())
    assert not [e for e in tree.iter() if e.tag.endswith("script")]
    desc = next(e for e in tree if e.tag.endswith("}desc"))
    assert "<b>bold</b>" in (desc.text or "")
    assert tree.get("role") == "img"


def test_searchable_svg_holds_the_text_as_written() -> None:
    figure = new_figure(600, 400)
    paint(Scene((Disc(0, 50, Role.BAY, "$x^2$ & <b>"),)), figure.add_axes((0.1, 0.1, 0.8, 0.8)))
    tree = ElementTree.fromstring(svg_text(figure, text_as_paths=False))
    assert "$x^2$ & <b>" in [e.text for e in tree.iter() if e.tag.endswith("}text")]


def test_dollars_are_drawn_as_dollars() -> None:
    """Two dollars would switch matplotlib to italics; the drawn pixels must be those of the plain signs."""

    def pixels(text: str, **options: object) -> np.ndarray:
        figure = new_figure(300, 60)
        figure.text(0.05, 0.4, text, family=["DejaVu Sans"], **options)  # type: ignore[arg-type]
        return redraw(figure)

    from linkage.drawing.axes import lettering
    from linkage.drawing.palette import LIGHT

    style = {k: v for k, v in lettering(LIGHT).items() if k != "family"}
    drawn = pixels(plain("$a$ b"), **style)
    plain_style = {**style, "parse_math": True}
    assert (drawn == pixels(escaped("$a$ b"), **plain_style)).all()
    assert (drawn != pixels("$a$ b", **plain_style)).any()


def test_titles_and_axis_names_are_safe_too() -> None:
    figure = new_figure(600, 400)
    ax = dress(figure.add_axes((0.1, 0.1, 0.8, 0.7)), x="$x_1$, mm", y="<i>y</i>", title="$" * 7 + r"\undefined")
    assert ax.get_xlabel() == "$x_1$, mm"
    assert png_bytes(figure).startswith(b"\x89PNG")
