"""The comparison as a page with the overlay drawing."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from linkage.folders import staged
from linkage.report.compare import Comparison, lines
from linkage.solution import Solution

TEMPLATE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Comparison</title><style>{{ css|safe }}</style></head>
<body><main><h1>What changed</h1><p>from {{ a }}</p><p>to {{ b }}</p>
<table><tbody>{% for line in rows %}<tr><td class="k">{{ line[:10].strip() }}</td><td>{{ line[11:] }}</td></tr>
{% endfor %}</tbody></table><figure>{{ svg|safe }}</figure></main></body></html>
"""


def write_comparison(a: Solution, b: Solution, difference: Comparison, folder: Path) -> str:
    """Write comparison.html and overlay.svg; returns what was written."""
    from jinja2 import Environment

    from linkage.drawing.axes import new_figure
    from linkage.drawing.overlay import overlay
    from linkage.drawing.paint import paint
    from linkage.drawing.save import svg_text

    scene = overlay(a.results, b.results)
    figure = new_figure(1400, 950)
    paint(scene, figure.add_axes((0.06, 0.07, 0.92, 0.87)))
    svg = svg_text(figure, title=scene.title, alt=scene.caption)
    css = files("linkage.report.page").joinpath("page.css").read_text(encoding="utf-8")
    template = Environment(autoescape=True).from_string(TEMPLATE)
    rows = list(lines(difference))[2:]
    page = template.render(a=difference.names[0], b=difference.names[1], rows=rows, svg=svg, css=css)
    with staged(folder, "comparison.html") as draft:
        (draft / "overlay.svg").write_text(svg, encoding="utf-8")
        (draft / "comparison.html").write_text(page, encoding="utf-8")
    return f"wrote comparison.html and overlay.svg to {folder}"
