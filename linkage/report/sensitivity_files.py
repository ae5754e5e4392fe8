"""Which dimension moves which result, as lines for a terminal, CSV, JSON, and a folder with charts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from linkage import __version__
from linkage.checks.finding import number
from linkage.folders import staged
from linkage.report.columns import columns
from linkage.report.writing import both, csv_text, json_text, lines_text, save_both
from linkage.sensitivity import Line, Row, Sensitivity
from linkage.solution import Solution

COLUMNS = (
    *("result", "value", "result_unit", "dimension", "dimension_value", "dimension_unit", "derivative"),
    *("required", "margin", "may_vary_by", "governing", "stated_tolerance", "used", "words"),
)
HEADINGS = ("dimension", "derivative", "it may vary by", "stated", "used")
MEANING = (
    "Derivative: result's unit per unit of the dimension, exact at this design. It may vary by: +/- this much alone,"
    " all others exact, until the nearest bound is reached on a straight line, a guide for changes small against the"
    " gear. For: the pair, place or loading that gets there before the present one. Used: stated tolerance / that."
)


def lines(found: Sensitivity) -> Iterator[str]:
    """The ten worst dimensions of each result; one mm counts like one degree, kilogram or newton."""
    yield f"{found.title}: which dimension moves which result"
    yield MEANING
    if not found.stated:
        yield "No tolerance of a dimension is stated in [tolerances]: what each may vary by stands alone."
    elif found.exact:
        yield f"Left out or 0 in the study, so taken as exact, which uses nothing: {', '.join(found.exact)}."
    for line in found.lines:
        yield ""
        yield heading(line)
        yield from _table(line)
    yield ""
    if len(found.idle) and len(found.lines) > 1:
        yield f"Moves none of these results: {', '.join(found.idle)}."


def heading(line: Line) -> str:
    """Value, nearest bound and room."""
    text = f"{line.title} [{line.name}]: {_short(line.value)} {line.unit}".rstrip()
    if line.bounds:
        near = line.bounds[0]
        text += f"; required {near.required}, margin {_short(near.margin)}" + (" SHORT" if near.margin < 0 else "")
    return text + (f"; {line.note}" if line.note else "")


def _table(line: Line) -> Iterator[str]:
    if not line.rows:
        yield f"  no derivative: {line.tied}" if line.tied else "  no dimension moves it"
        return
    yield from (f"  {text}" for text in columns([HEADINGS, *(cells(line, row) for row in line.worst)]))
    if len(line.rows) > len(line.worst):
        yield f"  and {len(line.rows) - len(line.worst)} more"
    if line.tied:
        kinks = sum(row.kink for row in line.rows)
        told = "not differentiable there, the steepest way is given" if kinks else "all agree on every derivative"
        yield f"  {line.tied}: {f'{kinks} marked *, ' if kinks else ''}{told}"
    if line.corner > 0:
        yield (
            f"  all stated tolerances together: +/- {_short(line.corner)} {line.unit}".rstrip()
            + f" with all at their ends, +/- {_short(line.spread)} as the root of the sum of squares"
        )


def cells(line: Line, row: Row) -> tuple[str, ...]:
    """One dimension of a result, as `HEADINGS` say."""
    return (row.dimension.name, slope(line, row), allowed(line, row), stated(row), used(row))


def slope(line: Line, row: Row) -> str:
    """The derivative with its unit; a star where it is not differentiable."""
    unit = row.dimension.unit
    per = f"{line.unit or '1'}/{unit}" if unit else line.unit
    size = f"{row.derivative:+.4g}" if row.derivative else "0"
    return f"{size} {per}{' *' if row.kink else ''}"


def allowed(line: Line, row: Row) -> str:
    """How far the dimension alone may go."""
    if not line.bounds:
        return "no bound"
    if row.allowed == 0:
        return "nothing, short already" if (line.margin or 0.0) < 0 else "nothing, on the bound"
    text = f"+/- {row.allowed:.3g} {row.dimension.unit}".rstrip()
    return f"{text}, for {row.governing}" if row.governing else text


def stated(row: Row) -> str:
    """The study's own tolerance."""
    if row.stated is None:
        return "none"
    return f"+/- {row.stated:.3g} {row.dimension.unit}".rstrip() if row.stated > 0 else "0: exact"


def used(row: Row) -> str:
    """Share of what it may vary by that its own tolerance takes."""
    share = row.used
    if share is None:
        return ""
    return f"{100 * share:.3g} %" + (", tolerance too wide" if row.too_wide else "")


def sensitivity_csv(found: Sensitivity) -> str:
    """Every derivative, one row each."""
    rows: list[Sequence[object]] = [COLUMNS]
    for line in found.lines:
        near = line.bounds[0] if line.bounds else None
        head = [line.name, line.value, line.unit]
        bound = [near.required, near.margin] if near else ["", ""]
        for row in line.rows:
            d = row.dimension
            words = [line.tied] * row.kink + ["tolerance too wide"] * row.too_wide
            own = [d.name, d.value / d.factor, d.unit, row.derivative]
            rows.append([*head, *own, *bound, row.allowed, row.governing, row.stated, row.used, "; ".join(words)])
        if not line.rows:
            rows.append([*head, *[""] * 4, *bound, *[""] * 4, line.tied or "no dimension moves it"])
    return csv_text(rows)


def sensitivity_json(found: Sensitivity, solution: Solution, changes: Sequence[str] = ()) -> str:
    """Everything; what is not finite is null."""
    table = {
        "version": __version__,
        "study": {"title": found.title, "sha256": solution.source.sha256, "changes": list(changes)},
        "meaning": MEANING,
        "taken_as_exact": list(found.exact),
        "moves_none": list(found.idle),
        "results": [_plain(line) for line in found.lines],
    }
    return json_text(table)


def _plain(line: Line) -> dict[str, Any]:
    return {
        "name": line.name,
        "title": line.title,
        "unit": line.unit,
        "value": line.value,
        "where": line.note,
        "tied": line.tied,
        "bounds": [{"required": b.required, "margin": b.margin} for b in line.bounds],
        "stated_tolerances_at_their_ends": line.corner,
        "stated_tolerances_root_sum_square": line.spread,
        "dimensions": [
            {
                "name": row.dimension.name,
                "path": row.dimension.path,
                "unit": row.dimension.unit,
                "derivative": row.derivative,
                "differentiable": not row.kink,
                "may_vary_by": row.allowed,
                "governing": row.governing,
                "stated_tolerance": row.stated,
                "stated_under": row.dimension.stated or None,
                "used": row.used,
                "tolerance_too_wide": row.too_wide,
            }
            for row in line.rows
        ],
    }


def _short(value: float) -> str:
    return number(value) if abs(value) >= 1 else f"{value:.4g}"


def write_sensitivity(found: Sensitivity, solution: Solution, folder: Path, changes: Sequence[str] = ()) -> str:
    """Write sensitivity.csv, .json, .txt and the charts; returns what was written."""
    from linkage.drawing.sensitivity_chart import caption, sheets

    pictures = list(sheets(found))
    stale = both(("sensitivity-[0-9]", "sensitivity-[0-9][0-9]"))
    with staged(folder, "sensitivity.json", stale) as draft:
        (draft / "sensitivity.csv").write_text(sensitivity_csv(found), encoding="utf-8")
        (draft / "sensitivity.json").write_text(sensitivity_json(found, solution, changes), encoding="utf-8")
        (draft / "sensitivity.txt").write_text(lines_text(lines(found)), encoding="utf-8")
        for place, (figure, shown) in enumerate(pictures, 1):
            save_both(figure, draft, f"sensitivity-{place}", found.title, caption(shown))
    names = ["sensitivity.csv", "sensitivity.json", "sensitivity.txt"]
    names += [f"sensitivity-{place}.svg/.png" for place in range(1, len(pictures) + 1)]
    return f"wrote {', '.join(names)} to {folder}"
