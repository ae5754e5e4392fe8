"""The sketch in docs/conventions.md is what the library draws today."""

from __future__ import annotations

import re

import numpy as np

from linkage.drawing.axes_sketch import ALT, axes_sketch
from linkage.drawing.save import svg_text
from tests.studies import ROOT

FILED = ROOT / "docs" / "pictures" / "axes.svg"


def drawn(svg: str) -> tuple[list[str], list[list[float]]]:
    """Texts, and the numbers of every line; not the letters' own outlines, which belong to the font."""
    texts = re.findall(r"<!-- (.+?) -->", svg, re.DOTALL)
    lines = re.findall(r'<path d="([^"]+)"[^>]*clip-path', svg) + re.findall(r'<path d="([^"]+)" style="stroke', svg)
    return texts, [[float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", line)] for line in lines]


def test_sketch_is_current() -> None:
    filed, now = (drawn(s) for s in (FILED.read_text(encoding="utf-8"), svg_text(axes_sketch(), title="a", alt=ALT)))
    again = "run: python -m linkage.drawing.axes_sketch"
    assert filed[0] == now[0], again
    assert len(now[0]) > 10 and len(now[1]) > 12
    assert [len(line) for line in filed[1]] == [len(line) for line in now[1]], again
    assert all(np.allclose(a, b, atol=0.3) for a, b in zip(filed[1], now[1], strict=True)), again


def test_sketch_is_on_its_page() -> None:
    assert "(pictures/axes.svg)" in (ROOT / "docs" / "conventions.md").read_text(encoding="utf-8")
