"""Two studies, or two revisions of one: what got worse, which gap moved, which loading left the band."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linkage.checks import Finding
from linkage.checks.finding import number
from linkage.checks.pairing import by_subject
from linkage.document.reader import Source
from linkage.report.headline import headline
from linkage.results import Results
from linkage.solution import Solution

MOVED = 1e-6
"""Relative change below which a number counts as the same."""


@dataclass(frozen=True)
class Moved:
    """A number that changed from ``before`` to ``after``; None where one side has no such thing."""

    name: str
    before: float | None
    after: float | None
    unit: str

    @property
    def change(self) -> float | None:
        return None if self.before is None or self.after is None else self.after - self.before


@dataclass(frozen=True)
class Comparison:
    """``worse`` and ``better``: margins of findings by what fell most; ``newly_short``: short now, good before or not
    there; ``new`` and ``gone``: findings that only one of them has."""

    names: tuple[str, str]
    newly_short: tuple[Finding, ...]
    newly_good: tuple[Finding, ...]
    worse: tuple[Moved, ...]
    better: tuple[Moved, ...]
    gaps: tuple[Moved, ...]
    headline: tuple[Moved, ...]
    loadings: tuple[str, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]


def compare(a: Solution, b: Solution) -> Comparison:
    """From ``a`` to ``b``."""
    before, after = by_subject(a.findings), by_subject(b.findings)
    both = [(before[k], after[k]) for k in before if k in after]
    margins = [Moved(_name(y), x.margin, y.margin, y.unit) for x, y in both if _differs(x.margin, y.margin)]
    ordered = sorted(margins, key=lambda m: m.change or 0.0)
    new, gone = (
        tuple(f for k, f in one.items() if k not in other) for one, other in ((after, before), (before, after))
    )
    return Comparison(
        (_title(a.source), _title(b.source)),
        (*(y for x, y in both if x.passed and not y.passed), *(y for y in new if not y.passed)),
        tuple(y for x, y in both if not x.passed and y.passed),
        tuple(m for m in ordered if (m.change or 0.0) < 0),
        tuple(m for m in reversed(ordered) if (m.change or 0.0) > 0),
        tuple(_gaps(a.results, b.results)),
        tuple(_headlines(a.results, b.results)),
        tuple(_loadings(a.results, b.results)),
        new,
        gone,
    )


def _title(source: Source) -> str:
    return source.study.title + (f" with {', '.join(source.changes)}" if source.changes else "")


def lines(c: Comparison, most: int | None = None) -> Iterator[str]:
    """The comparison as plain text; ``most``: gaps named, those that moved most."""
    yield f"from: {c.names[0]}"
    yield f"to:   {c.names[1]}"
    yield from (f"NOW SHORT  {told(finding)}" for finding in c.newly_short)
    yield from (f"now good   {told(finding)}" for finding in c.newly_good)
    yield from (f"new        {told(finding)}" for finding in c.new)
    yield from (f"gone       {told(finding)}" for finding in c.gone)
    for title, moved in (("worse", c.worse), ("better", c.better)):
        yield from (_line(title, m, "margin ") for m in moved)
    yield from (_line("gap", m) for m in c.gaps[:most])
    if rest := len(c.gaps) - len(c.gaps[:most]):
        yield f"gap        and {rest} more pairs, each by less; -o DIR writes them all"
    yield from (_line("number", m) for m in c.headline)
    yield from (f"loading    {text}" for text in c.loadings)
    if not (c.new or c.gone or c.worse or c.better or c.gaps or c.headline):
        yield "nothing changed"


def told(f: Finding) -> str:
    """A finding in one line."""
    return f"{_name(f)}: {f.result} {f.unit}, required {f.required}"


def _line(title: str, m: Moved, what: str = "") -> str:
    if m.before is None or m.after is None:
        there, which = (m.after, "second") if m.before is None else (m.before, "first")
        return f"{title:<10} {m.name}: only in the {which}, {number(there or 0.0)}"
    change = f"{m.after - m.before:+.4g}"
    return f"{title:<10} {m.name}: {what}{number(m.before)} -> {number(m.after)} {m.unit} ({change})"


def _name(f: Finding) -> str:
    where = " in the other states" if f.code == "gap-state" else ""
    return f"{f.subject}{where} {f.required[:2]}" + (f" ({f.at})" if f.code == "cg" else "")


def _differs(x: float, y: float) -> bool:
    return abs(x - y) > MOVED * max(abs(x), abs(y), 1e-3)


def _gaps(a: Results, b: Results) -> Iterator[Moved]:
    """Every pair whose guaranteed gap moved by more than its bracket, largest move first."""
    before = {(g.part, g.item): g for g in a.clearance.bay}
    after = {(g.part, g.item): g for g in b.clearance.bay}
    moved = []
    for key in dict.fromkeys([*before, *after]):
        x, y = before.get(key), after.get(key)
        if x is None or y is None or abs(x.upper - y.upper) > 1e-3:
            moved.append(Moved(f"{key[0]} to {key[1]}", x.upper if x else None, y.upper if y else None, "mm"))
    yield from sorted(moved, key=lambda m: -abs(m.change or 1e9))


def _headlines(a: Results, b: Results) -> Iterator[Moved]:
    before, after = headline(a), headline(b)
    for key, x in before.items():
        y = after[key]
        if isinstance(x, float) and isinstance(y, float) and _differs(x, y):
            yield Moved(key, x, y, "")


def _loadings(a: Results, b: Results) -> Iterator[str]:
    """Extreme loadings that left or entered the wanted band."""
    for name, x, y in (
        ("least share", a.share.ground.share_min, b.share.ground.share_min),
        ("greatest share", a.share.ground.share_max, b.share.ground.share_max),
    ):
        inside = [r.share.band[0] <= e.value <= r.share.band[1] for r, e in ((a, x), (b, y))]
        if inside[0] != inside[1]:
            word = "left" if inside[0] else "came into"
            yield f"{name} {word} the band: {100 * x.value:.2f} % -> {100 * y.value:.2f} %, {y.case}"
