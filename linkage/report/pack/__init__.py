"""review.pdf: the design-review pack, typeset. Data and pictures go to the template; two runs give the same bytes."""

from __future__ import annotations

import json
import tempfile
from importlib.resources import files
from pathlib import Path

from linkage.drawing.drawn import Drawn
from linkage.drawing.fonts import folder as fonts
from linkage.report.headline import clean
from linkage.report.moves import moves
from linkage.report.pack.content import content
from linkage.report.sheets import Sheet, sheets
from linkage.sensitivity import Line
from linkage.solution import Solution

__all__ = ["pack"]


def pack(
    solution: Solution,
    sheet_svg: str,
    figures: tuple[Drawn, ...],
    worked: tuple[Sheet, ...] | None = None,
    moved: tuple[Line, ...] | None = None,
    inch: Drawn | None = None,
    close: tuple[Drawn, ...] | None = None,
) -> bytes:
    """The pack as PDF. ``sheet_svg``: the side view on A3; ``figures``: of the gallery, drawn once for all outputs; as
    ``worked`` sheets, results with what moves them, the side view on an ``inch`` sheet and ``close`` views of the
    tightest gaps are, each worked out here if not given.

    Only the fonts that come with the typesetter and with matplotlib are used, there is no date in it, and user text
    reaches the template as strings in a JSON file, never as markup.
    """
    import typst

    worked = sheets(solution.results) if worked is None else worked
    moved = moves(solution) if moved is None else moved
    data, pictures = content(solution, sheet_svg, figures, worked, moved, inch, close)
    with tempfile.TemporaryDirectory(prefix="pack-") as name:
        scratch = Path(name)
        for file, svg in pictures.items():
            (scratch / file).write_text(svg, encoding="utf-8")
        text = json.dumps(clean(data), ensure_ascii=False, allow_nan=False)
        (scratch / "data.json").write_text(text, encoding="utf-8")
        template = files("linkage.report.pack").joinpath("pack.typ").read_text(encoding="utf-8")
        (scratch / "pack.typ").write_text(template, encoding="utf-8")
        made: bytes = typst.compile(
            str(scratch / "pack.typ"),
            root=str(scratch),
            font_paths=[str(fonts())],
            ignore_system_fonts=True,
            format="pdf",
            timestamp=0,
        )
    return made
