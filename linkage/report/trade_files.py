"""A trade study as table, CSV, JSON and pictures."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from linkage import __version__
from linkage.checks.finding import number
from linkage.drawing.text import plain
from linkage.errors import DocumentError, Fault
from linkage.folders import staged
from linkage.report.columns import columns
from linkage.report.writing import both, csv_text, json_text, lines_text, save_both
from linkage.trade import Point, Trade
from linkage.trade.answer import answer, telling
from linkage.trade.words import named, unit_of

MOST_ROWS = 60
"""Of the table on a terminal; the files have them all."""

LONGEST_REASON = 100
"""Letters of a reason in the table; CSV and JSON have it whole."""


def chosen(trade: Trade, wanted: Sequence[str]) -> tuple[str, ...]:
    """Results by their headline key, or findings by a part of their name. ``DocumentError`` for what is neither."""
    found: list[str] = []
    faults: list[Fault] = []
    for name in wanted:
        part = name.strip().lower()
        hits = [name] if name in trade.keys else [f for f in trade.findings if part and part in f.lower()]
        if not hits:
            numbers = [k for k in trade.keys if any(isinstance(p.results.get(k), int | float) for p in trade.points)]
            near = difflib.get_close_matches(part, numbers, n=3, cutoff=0.6)
            some = " or ".join(near) if near else f"one of {', '.join(numbers)}"
            faults.append(Fault("--result", repr(name), f"{some}, or a part of a finding's name"))
        found += hits
    if faults:
        raise DocumentError(faults, "command line")
    return tuple(dict.fromkeys(found)) or telling(trade)


def trade_csv(trade: Trade) -> str:
    """One row a point: the numbers varied as they would be written after --set, headline, findings, reason."""
    heads = [f"{v.path} [{v.unit}]" if v.unit else v.path for v in trade.varies]
    fixed = ["state", "findings_short", "worst_finding", "worst_margin", "worst_margin_unit"]
    margins = [f"margin: {name}" for name in trade.findings]
    rows: list[list[object]] = [[*heads, *fixed, *trade.keys, *margins, "reason"]]
    for point in trade.points:
        own = [point.worst, point.worst_margin, point.worst_unit] if point.computed else [None] * 3
        count = len(point.short) if point.computed else None
        numbers = [*(point.results.get(k) for k in trade.keys), *(point.margins.get(n) for n in trade.findings)]
        state = "solved" if point.computed else "not computed"
        rows.append([*point.values, state, count, *own, *numbers, point.reason])
    return csv_text(rows)


def trade_json(trade: Trade) -> str:
    """Everything, NaN as null."""
    found = answer(trade)
    table = {
        "version": __version__,
        "study": {"title": trade.title, "sha256": trade.sha256, "changes": list(trade.changes)},
        "answer": {"sentence": found.sentence, "excused": list(found.excused)},
        "varied": [{"path": v.path, "unit": v.unit, "values": v.values, "present": v.present} for v in trade.varies],
        "present": _plain(trade.present) if trade.present else None,
        "stopped": trade.stopped,
        "points": [{**_plain(p), "good": bool(good)} for p, good in zip(trade.points, found.good.ravel(), strict=True)],
    }
    return json_text(table)


def _plain(point: Point) -> dict[str, object]:
    worst = {"finding": point.worst, "margin": point.worst_margin, "unit": point.worst_unit}
    return {
        "values": point.values,
        "computed": point.computed,
        "reason": point.reason,
        "findings_short": list(point.short),
        "worst": worst if point.computed else None,
        "headline": dict(point.results),
        "limits": {k: [list(pair) for pair in v] for k, v in point.limits.items()},
        "margins": dict(point.margins),
    }


def trade_lines(trade: Trade, results: Sequence[str], most: int = MOST_ROWS) -> Iterator[str]:
    """A Markdown table that is also fit to read on a terminal, the answer above it."""
    found = answer(trade)
    yield found.sentence + (" (stopped by hand)" if trade.stopped else "")
    yield ""
    heads = [f"{v.short}, {v.unit}" if v.unit else v.short for v in trade.varies]
    signs = [f"[{i}] {unit_of(name)}".rstrip() for i, name in enumerate(results, 1)]
    yield from (f"[{i}] {named(name)}" for i, name in enumerate(results, 1))
    yield ""
    rows = [[*heads, *signs, "short", "worst finding", "margin"]]
    here = tuple(v.present for v in trade.varies)
    for point, good in zip(trade.points, found.good.ravel(), strict=True):
        values = [f"{value:g}" for value in point.values]
        values[0] += " *" if point.values == here else ""
        rows.append(values + _results(point, results, bool(good)))
    yield from _table(rows[: most + 1])
    if len(rows) > most + 1:
        yield f"... {len(rows) - 1 - most} more in the files"
    yield ""
    yield f"+ {found.kept}; * the present design"


def _results(point: Point, results: Sequence[str], good: bool) -> list[str]:
    if not point.computed:
        reason = plain(point.reason, LONGEST_REASON)
        return [*("" for _ in results), "", reason, ""]
    shown = [point.results.get(k, point.margins.get(k)) for k in results]
    numbers = [number(float(v)) if isinstance(v, int | float) else str(v or "") for v in shown]
    margin = "" if point.worst_margin is None else f"{point.worst_margin:+.3g} {point.worst_unit}".rstrip()
    return [*numbers, f"{len(point.short)}{' +' if good else ''}", point.worst, margin]


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    for place, line in enumerate(columns([["", *(c.replace("|", "/") for c in row), ""] for row in rows], gap=" | ")):
        text = line.strip()
        yield text
        if place == 0:
            yield "".join("|" if c == "|" else "-" for c in text)


def write_trade(trade: Trade, results: Sequence[str], folder: Path) -> str:
    """Write trade.csv, trade.json, trade.md and the pictures; returns what was written."""
    pictures = list(_pictures(trade, results))
    with staged(folder, "trade.json", both(("trade", "trade-[0-9]*-*"))) as draft:
        (draft / "trade.csv").write_text(trade_csv(trade), encoding="utf-8")
        (draft / "trade.json").write_text(trade_json(trade), encoding="utf-8")
        lines = trade_lines(trade, results, len(trade.points))
        (draft / "trade.md").write_text(lines_text([f"# {trade.title}", "", *lines]), encoding="utf-8")
        for name, figure, alt in pictures:
            save_both(figure, draft, name, trade.title, alt)
    names = ["trade.csv", "trade.json", "trade.md", *(f"{name}.svg/.png" for name, _, _ in pictures)]
    return f"wrote {', '.join(names)} to {folder}"


def _pictures(trade: Trade, results: Sequence[str]) -> Iterator[tuple[str, Any, str]]:
    from linkage.drawing.trade_charts import caption, contours, curves

    if not trade.computed.any():
        return
    found = answer(trade)
    alt = caption(found)
    if len(trade.varies) == 1:
        yield "trade", curves(found, results), alt
        return
    for place, key in enumerate(results):
        yield f"trade-{place + 1}-{_slug(key)}", contours(found, key), f"{alt} Contours of {key}."


def _slug(key: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-")[:40].strip("-")
