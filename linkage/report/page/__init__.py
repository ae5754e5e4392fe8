"""review.html: one file, no network. Findings, a scrubber that moves the gear, figures, tables that sort."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from linkage import __version__
from linkage.checks.finding import number
from linkage.drawing.drawn import Drawn, drawn
from linkage.drawing.gear_scene import side_view
from linkage.report.cautions import CAUTIONS
from linkage.report.headline import clean
from linkage.report.page.scrubber import scrubber
from linkage.report.page.tables import moves_table, sheet_table, tables
from linkage.report.sheets import Sheet
from linkage.sensitivity import Line
from linkage.solution import Solution


def page(
    solution: Solution,
    sheet_svg: str,
    figures: tuple[Drawn, ...] | None = None,
    worked: tuple[Sheet, ...] = (),
    moved: tuple[Line, ...] = (),
) -> str:
    """The whole page as text. ``sheet_svg`` and ``figures``: drawn once for files, page and pack; ``worked``: sheets to
    list; ``moved``: results with the dimensions that move them."""
    from jinja2 import Environment

    r = solution.results
    here = files("linkage.report.page")
    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    environment.filters["number"] = number
    template = environment.from_string(here.joinpath("page.html").read_text(encoding="utf-8"))
    shown = [{"name": d.name, "title": d.title, "svg": d.svg} for d in (drawn(r) if figures is None else figures)]
    side = {"name": "side-view", "title": side_view(r).title, "svg": sheet_svg}
    return template.render(
        study=r.study,
        source=solution.source,
        version=__version__,
        findings=solution.findings,
        short=sum(not f.passed for f in solution.findings),
        cautions=CAUTIONS,
        figures=[side, *shown],
        tables=(
            *tables(r),
            *([moves_table(moved)] if moved else []),
            *([sheet_table(worked)] if worked else []),
        ),
        css=here.joinpath("page.css").read_text(encoding="utf-8"),
        script=here.joinpath("page.js").read_text(encoding="utf-8"),
        data=_embedded(scrubber(r)),
    )


def _embedded(value: Any) -> str:
    """JSON that cannot end the script element it stands in."""
    text = json.dumps(clean(value), ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
