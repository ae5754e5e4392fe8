"""docs/validation.md: published checks by source, what is left out, and the second engines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from linkage.report.validation.left_out import LEFT_OUT
from linkage.report.validation.model import Check

STATUS = (
    "READ: inputs and answer read in a copy of the source; R2: read in a transcription that quotes page and equation;"
    " MEM: from memory; CALC: worked by hand from the rule or relation named."
)
COMMAND = "python -m linkage.report.validation docs/second_engines.json > docs/validation.md"


def shown(check: Check) -> str:
    """The computed number with two digits more than the source prints, and no minus before a zero."""
    decimals = 4 if check.case.within == 0.0 else min(6, max(0, 2 - _place(check.case.within)))
    return f"{round(check.computed, decimals) + 0.0:.{decimals}f}"


def _place(value: float) -> int:
    """Place of the first digit of a positive number: 0.005 -> -3."""
    return int(f"{value:e}".partition("e")[2])


def markdown(checks: Sequence[Check], engines: Mapping[str, Any] | None = None) -> str:
    """The whole page. ``engines``: the filed agreement with second engines (docs/second_engines.json)."""
    return "\n".join([*_head(checks), *_sources(checks), *_left_out(), *(_engines(engines) if engines else ())]) + "\n"


def _head(checks: Sequence[Check]) -> Iterator[str]:
    good, sources = sum(c.passed for c in checks), len({c.source.key for c in checks})
    yield "# Validation"
    yield ""
    yield f"Written by `{COMMAND}`; a test compares it with what the library computes. {STATUS}"
    yield (
        "Tolerances are half of the last printed digit unless the row says why not. Every source has one test file,"
        " `tests/validation/test_<name>.py`, which takes its cases from the same list as this page."
    )
    yield ""
    yield f"**{good} of {len(checks)} published checks from {sources} sources pass.**"


def _sources(checks: Sequence[Check]) -> Iterator[str]:
    for source, found in groupby(checks, key=lambda c: c.source):
        yield ""
        yield f"## {source.title}"
        yield f"`{source.key}`"
        yield ""
        yield from _table(CHECKED, map(_row, found))


CHECKED = ("id", "status", "inputs", "quantity", "printed", "tolerance", "computed", "difference", "unit", "verdict")


def _table(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    yield f"| {' | '.join(heads)} |"
    yield "|---" * len(heads) + "|"
    for row in rows:
        yield f"| {' | '.join(map(str, row))} |"


def _row(x: Check) -> Sequence[object]:
    c = x.case
    tolerance = f"{c.within:g}" + (f" ({c.why})" if c.why else "")
    printed = c.printed if len(c.printed) < 12 else f"{c.published:.10g}"
    verdict = "passes" if x.passed else "FAILS"
    return c.ident, c.status, c.inputs, c.quantity, printed, tolerance, shown(x), _difference(x), c.unit, verdict


def _difference(check: Check) -> str:
    """Two digits of it; what double precision rounds to is shown as 0, so that the page is the same everywhere."""
    size = max(1.0, abs(check.case.published))
    return "0" if abs(check.difference) < 1e-7 * size else f"{check.difference:.1e}"


def _left_out() -> Iterator[str]:
    yield ""
    yield "## In the references, but no check"
    yield ""
    yield from _table(("what", "why"), LEFT_OUT)


def _engines(engines: Mapping[str, Any]) -> Iterator[str]:
    yield ""
    yield "## Second engines on random gears"
    yield ""
    yield (
        f"Measured by `{engines['command']}`, seed {engines['seed']}; a test repeats a part of it and holds it to these"
        " figures and to the bounds."
    )
    yield ""
    heads = ("engine", "compared", "cases", "numbers or poses", "largest difference", "bound", "unit", "day", "version")
    yield from _table(heads, (_engine_row(run, row) for run in engines["runs"].values() for row in run["rows"]))
    for note in engines["notes"]:
        yield ""
        yield note


def _engine_row(run: Mapping[str, Any], row: Mapping[str, Any]) -> Sequence[object]:
    found = (row["engine"], row["quantity"], row["cases"], row["count"], f"{row['largest']:.2g}", f"{row['bound']:.2g}")
    return *found, row["unit"], run["date"], run["version"]
