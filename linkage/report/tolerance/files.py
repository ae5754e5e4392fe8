"""A tolerance study on disk: rig_card.html to print, tables as CSV, everything as JSON, the two charts."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from linkage import __version__
from linkage.folders import staged
from linkage.report.tolerance.tables import CAUTION, Table, answer, card_table, tables
from linkage.report.writing import csv_text, json_text
from linkage.tolerance import Chance, ToleranceStudy
from linkage.tolerance.followed import OFFSET
from linkage.tolerance.spread import PERCENT
from linkage.tolerance.watching import names_of

LAST = "tolerance.json"
CHARTS = ("offset.svg", "gaps.svg")
"""Not every study has both."""

TEMPLATE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Rig card: {{ title }}</title><style>{{ css|safe }}
@page { size: A4 landscape; margin: 9mm; }
.card td:nth-child(3), .card td:nth-child(4), .card td:nth-child(5) { white-space: nowrap; }
.caution { border: 2px solid var(--worst); padding: 6px 10px; margin: 8px 0; }
td.blank { min-width: 90px; border: 1px solid var(--line); }
@media print { header, main { max-width: none; padding: 0; } h1 { font-size: 12pt; margin: 0; } p { margin: 1pt 0; }
.meta, .caution, main p { font-size: 7.2pt; line-height: 1.2; } .caution { padding: 2pt 4pt; margin: 2pt 0; }
h2 { font-size: 9pt; margin: 4pt 0 2pt; } table { font-size: 7pt; line-height: 1.14; } th, td { padding: 1.1pt 3pt; }
.card td:first-child, .wide td:first-child { white-space: nowrap; } .next { break-before: page; }
figure { display: inline-block; width: 49%; margin: 2pt 0; vertical-align: top; } figcaption { font-size: 7pt; } }
</style></head><body><header><h1>Rig card: {{ title }}</h1>
<p class="meta">{{ aircraft }} · study SHA-256 {{ sha }}{{ changed }} · noseleg {{ version }} · {{ meta }}</p>
<p class="caution">{{ caution }}</p></header><main>
{% for t in found %}<h2>{{ t.title }}</h2><div class="wide"><table class="{{ 'card' if t.name == 'rig_card' else '' }}">
<thead><tr>{% for h in t.heads %}<th>{{ h }}</th>{% endfor %}
{% if t.name == 'rig_card' %}<th>measured</th>{% endif %}</tr></thead><tbody>
{% for row in t.rows %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}
{% if t.name == 'rig_card' %}<td class="blank"></td>{% endif %}</tr>
{% endfor %}</tbody></table></div>{% for n in t.notes %}<p class="meta">{{ n }}</p>{% endfor %}
{% if t.name == 'rig_card' %}<h2 class="next">What to expect</h2>
{% for line in sentences %}<p>{{ line }}</p>{% endfor %}
{% for svg in charts %}<figure>{{ svg|safe }}</figure>{% endfor %}{% endif %}{% endfor %}
</main></body></html>
"""


def write_tolerance(study: ToleranceStudy, folder: Path) -> str:
    """Write all files into ``folder``, whole or not at all; says what was written."""
    found = tables(study)
    charts = _charts(study)
    with staged(folder, LAST, CHARTS) as draft:
        for table in found:
            (draft / f"{table.name}.csv").write_text(table_csv(table), encoding="utf-8")
        for name, svg in charts.items():
            (draft / name).write_text(svg, encoding="utf-8")
        (draft / "rig_card.html").write_text(page(study, list(charts.values())), encoding="utf-8")
        (draft / LAST).write_text(tolerance_json(study), encoding="utf-8")
    names = ", ".join(["rig_card.html", *(f"{t.name}.csv" for t in found), *charts])
    return f"wrote {names} and {LAST} to {folder}"


def table_csv(table: Table) -> str:
    """One table; no cell can run as a formula."""
    return csv_text([table.heads, *table.rows])


def page(study: ToleranceStudy, charts: list[str]) -> str:
    """The rig card first, then what it rests on. Every text of the study is escaped."""
    from jinja2 import Environment

    found = tables(study)
    card = card_table(study)
    order = [card, *(t for t in found if t.name != card.name)]
    sentences = list(answer(study))
    css = files("linkage.report.page").joinpath("page.css").read_text(encoding="utf-8")
    return (
        Environment(autoescape=True)
        .from_string(TEMPLATE)
        .render(
            title=study.source.study.title,
            aircraft=study.source.study.airframe.name,
            sha=study.source.sha256[:16],
            changed=study.source.changed,
            version=__version__,
            meta=sentences[1],
            caution=CAUTION,
            found=order,
            sentences=sentences[1:],
            charts=charts,
            css=css,
        )
    )


def _charts(study: ToleranceStudy) -> dict[str, str]:
    from linkage.drawing.axes import new_figure
    from linkage.drawing.save import svg_text
    from linkage.drawing.tolerance_charts import gap_chart, gaps_title, offset_chart, offset_title

    offset = next((c for c in study.corners if c.result == OFFSET), None)
    charts: dict[str, str] = {}
    if study.spread.locks is not None:
        figure = new_figure(1200, 620)
        offset_chart(figure.add_axes((0.07, 0.12, 0.91, 0.76)), study.spread, offset)
        charts["offset.svg"] = svg_text(figure, title=offset_title(study.spread), alt="Histogram of the offset left")
    rows = sum(c is not offset for c in study.corners)
    if rows:
        figure = new_figure(1200, 180 + 36 * rows)
        gap_chart(
            figure.add_axes((0.24, 90 / (180 + 36 * rows), 0.74, 36 * rows / (180 + 36 * rows))),
            study.spread,
            study.corners,
        )
        charts["gaps.svg"] = svg_text(
            figure, title=gaps_title(study.spread), alt="Spread of every gap beyond its required gap"
        )
    return charts


def tolerance_json(study: ToleranceStudy) -> str:
    """Everything but the samples themselves; numbers that are not finite as null."""
    s, plan = study.spread, study.setting.plan
    content: dict[str, Any] = {
        "version": __version__,
        "study": {
            "title": study.source.study.title,
            "sha256": study.source.sha256,
            "changes": list(study.source.changes),
        },
        "caution": CAUTION,
        "samples": s.samples,
        "samples_wanted": s.wanted,
        "seed": s.seed,
        "distribution": plan.study.tolerances.distribution,
        "wear": plan.study.tolerances.wear,
        "dimensions": [{"name": d.name, "limit": d.limit, "unit": d.unit, "field": d.field} for d in plan.dimensions],
        "pins": list(plan.pins),
        "probability_lock": _chance(s.locks),
        "probability_lock_play_against": _chance(s.locks_against),
        "least_offset_wanted_mm": s.least_offset,
        "probability_least_offset": _chance(s.above),
        "probability_least_offset_play_against": _chance(s.above_against),
        "failures": dict(s.failures),
        "spread": _spread(study),
        "least_gaps": _least_gaps(study),
        "states_left_out": [{"state": x.state, "why": x.why} for x in study.setting.left_out],
        "corners": _corners(study),
        "wear_limits": _wear_limits(study),
        "rig_card": _card(study),
        "rig_card_left_out": list(study.card.left_out),
    }
    return json_text(content)


def _spread(study: ToleranceStudy) -> list[dict[str, Any]]:
    return [
        {
            "result": x.name,
            "drawn": x.drawn,
            "mean": x.mean,
            "deviation": x.deviation,
            "least": x.least,
            "greatest": x.greatest,
            "percentiles": dict(zip((f"{p:g}" for p in PERCENT), x.percentiles, strict=True)),
            "wanted": None if x.criterion is None else [x.criterion.low, x.criterion.high],
            "source": None if x.criterion is None else x.criterion.source,
            "short": _chance(x.short),
        }
        for x in study.spread.statistics
    ]


def _least_gaps(study: ToleranceStudy) -> list[dict[str, Any]]:
    """Where each gap that is followed is least as drawn."""
    return [
        {
            "result": w.result,
            "part": names_of(w.pair)[0],
            "item": names_of(w.pair)[1],
            "gap_mm": w.gap,
            "required_mm": w.pair.required,
            "margin_mm": w.margin,
            "judged": w.pair.judged,
        }
        for w in study.setting.tightest
    ]


def _corners(study: ToleranceStudy) -> list[dict[str, Any]]:
    names = [d.name for d in study.setting.plan.dimensions]
    return [
        {
            "result": c.result,
            "drawn": c.drawn,
            "worst": c.value,
            "linear": c.linear,
            "corners_tried": c.tried,
            "deviations": {name: float(v) for name, v in zip(names, c.by.sizes[0], strict=True) if v},
            "play_mm": {
                pin: [float(z.real), float(z.imag)]
                for pin, z in zip(study.setting.plan.pins, c.by.play[0], strict=True)
            },
        }
        for c in study.corners
    ]


def _wear_limits(study: ToleranceStudy) -> list[dict[str, Any]]:
    return [
        {
            "until": what,
            "pins": list(w.pins),
            "result": w.result,
            "wanted": w.wanted,
            "without_play": w.drawn,
            "clearance_mm": w.exact,
            "linear_mm": w.linear,
        }
        for what, group in _wear(study)
        for w in group
    ]


def _card(study: ToleranceStudy) -> list[dict[str, Any]]:
    return [
        {
            "measure": r.name,
            "unit": r.unit,
            "drawn": r.drawn,
            "allowed": [r.low, r.high],
            "ended_by": list(r.ends),
            "expected": list(r.expected),
            "how": r.how,
        }
        for r in study.card.lines
    ]


def _wear(study: ToleranceStudy) -> list[tuple[str, tuple[Any, ...]]]:
    w = study.wear
    built = (w.built,) if w.built is not None else ()
    return [
        ("offset gone", w.lock),
        ("offset at its limit", w.lock_limit),
        ("offset gone, pieces at their worst", built),
        ("first gap short", w.gaps),
    ]


def _chance(c: Chance | None) -> dict[str, Any] | None:
    return None if c is None else {"count": c.count, "of": c.of, "share": c.share, "wilson95": [c.low, c.high]}
