"""Where a document goes beside the full solution: a glance, derivatives, gears as built, trade studies, drafts.

Each function takes one document that the reader accepts through such a command, and asserts that what comes out is
whole; a `LinkageError` is for the caller to judge.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from linkage.checks import Finding
from linkage.document.reader import Source, parse, read
from linkage.drafting.draft import begin, dragged, redone, undone
from linkage.drafting.drag import Keep
from linkage.drafting.keeping import saved, saved_beside
from linkage.drafting.steps import Snap
from linkage.errors import LinkageError
from linkage.glance import Held, glance
from linkage.handoff import package
from linkage.report.compare import compare, lines
from linkage.report.hand_over import hand_over
from linkage.report.headline import full, headline
from linkage.report.sensitivity_files import lines as sensitivity_lines
from linkage.report.sensitivity_files import sensitivity_csv, sensitivity_json
from linkage.report.terminal import findings_lines
from linkage.report.tolerance.files import table_csv, tolerance_json
from linkage.report.tolerance.tables import tables
from linkage.report.trade_files import chosen, trade_csv, trade_json, trade_lines
from linkage.sensitivity import sensitivity
from linkage.solution import Solution, solve
from linkage.tolerance import tolerance
from linkage.trade import Trade, Vary, run
from linkage.trade.run import Work
from tests.studies import MERROW

Plain = dict[str, Any]
SAMPLES = 100
"""Gears built of one document."""


def no_nan(numbers: Iterator[tuple[str, Any]]) -> None:
    for name, value in numbers:
        assert not (isinstance(value, float) and math.isnan(value)), f"{name} is NaN"


def of_findings(findings: tuple[Finding, ...]) -> Iterator[tuple[str, Any]]:
    for f in findings:
        yield from ((f"{f.code} {f.subject}", value) for value in (f.actual, f.required, f.margin))


def said(some: Iterable[str]) -> None:
    """Lines for a terminal; `linkage.cli.shared.say` makes them harmless."""
    assert all(isinstance(line, str) for line in some)


def of_table(text: str, what: str) -> None:
    """A CSV text without NaN and without orders to a terminal."""
    assert not {c for c in text if ord(c) < 32} - {"\n", "\r"}, what
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert cells
    assert "nan" not in [cell.lower() for cell in cells], f"{what} has NaN"


def of_json(text: str) -> None:
    json.loads(text, parse_constant=pytest.fail)
    assert not {c for c in text if ord(c) < 32} - {"\n"}


def source_of(plain: Plain) -> Source:
    return Source(MERROW, "0" * 64, "", parse(plain))


def told(plain: Plain, scratch: Path) -> None:
    """All that check, compare and review tell of a solution."""
    solution = solve(source_of(plain))
    said(findings_lines(solution))
    of_json(json.dumps(full(solution), ensure_ascii=False, allow_nan=False))
    said(lines(compare(solution, solution)))
    handed = hand_over(solution)  # solids take the CAD kernel seconds, whatever the document says
    for content in (*package._dxf(handed).values(), *package._tables(handed).values()):
        assert not {c for c in content.decode() if ord(c) < 32} - {"\n", "\r"}


def at_a_glance(plain: Plain, scratch: Path) -> None:
    """A glance never raises."""
    held = Held(scratch)
    for _ in range(2):  # the second keeps what the first left
        seen = glance(parse(plain), held)
        no_nan(of_findings(seen.findings))
        no_nan((g.item, g.margin) for g in seen.gaps)
        assert seen.trouble or seen.gear is not None
        assert all("Traceback" not in line for line in seen.trouble)


def derived(plain: Plain, scratch: Path) -> None:
    solution: Solution = solve(source_of(plain), closely=False)
    found = sensitivity(solution)
    for line in found.lines:
        no_nan((line.name, value) for value in (line.value, line.corner, line.spread))
        no_nan((f"{line.name} by {r.dimension.name}", v) for r in line.rows for v in (r.derivative, r.allowed))
    of_table(sensitivity_csv(found), "sensitivity.csv")
    of_json(sensitivity_json(found, solution, ()))
    said(sensitivity_lines(found))


def as_built(plain: Plain, scratch: Path) -> None:
    study = tolerance(source_of(plain), SAMPLES)
    for table in tables(study):
        of_table(table_csv(table), table.name)
    of_json(tolerance_json(study))
    assert study.spread.samples == SAMPLES


def traded(plain: Plain, scratch: Path) -> None:
    """A trade study of one point, and the present one."""
    study = parse(plain)
    length = study.gear.leg.length / study.units.factor("length")
    vary = (Vary("gear.leg.length", (1.001 * length,), study.units.length, length),)
    work = Work(MERROW, "0" * 64, plain, vary, headline)
    trade: Trade = run(work, str(plain.get("title")), (), None)
    for point in trade.points:
        assert not point.reason.startswith("error of the program"), point.reason
        no_nan(iter(point.margins.items()))
        no_nan(iter(point.results.items()))
    of_table(trade_csv(trade), "trade.csv")
    of_json(trade_json(trade))
    said(trade_lines(trade, chosen(trade, ())))


def drafted(plain: Plain, scratch: Path) -> None:
    """The document opened to be edited: every pin moved a little either way, undone, saved and read back."""
    path = scratch / "draft.toml"
    try:
        path.write_text(tomlkit.dumps(plain), encoding="utf-8")
    except (TypeError, ValueError, UnicodeEncodeError):  # no text says it, such as None
        return
    draft = begin(path)
    for i, handle in enumerate(draft.handles):
        keep, snap = list(Keep)[i % 2], list(Snap)[i % 3]
        draft = _moved(draft, handle.name, handle.at + 3 - 2j, keep, snap)
    assert redone(undone(draft)).state == draft.state
    if draft.dirty:
        kept = saved(draft)
        assert read(kept.path).study == kept.study
        beside = saved_beside(draft)
        assert read(beside.path).study == kept.study
        beside.path.unlink()


def _moved(draft: Any, name: str, to: complex, keep: Keep, snap: Snap) -> Any:
    try:
        return dragged(draft, name, to, keep, snap)
    except LinkageError as err:
        assert str(err)
        return draft


WAYS: dict[str, Callable[[Plain, Path], None]] = {
    f.__name__: f for f in (told, at_a_glance, derived, as_built, traded, drafted)
}
