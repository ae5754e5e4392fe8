"""The tables of a tolerance study, the same words for terminal, CSV and page."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import shorten

from linkage.checks.finding import number
from linkage.report.columns import columns
from linkage.tolerance import Chance, Corner, RigLine, Statistic, ToleranceStudy, WearLimit
from linkage.tolerance.followed import STATE
from linkage.tolerance.watching import names_of
from linkage.tolerance.wear import FURTHEST

CAUTION = (
    "This card does not replace the maintenance manual, and nothing on it is approved data. It holds for the drawing"
    " and the tolerances of the study, rigid parts, one measure off at a time, engine at rest. A licensed engineer"
    " and your authority decide; fit ground locks and support the aircraft before any work on the gear."
)
LONGEST_STATE = 32
"""Letters of a state's name on the rig card, which is to stay on one page; results in full are in the other tables."""
PLAY_WORDS = {"new": "as new", "worn": "worn to the limit", "any": "anywhere between new and worn"}


@dataclass(frozen=True)
class Table:
    """``rows`` of texts as long as ``heads``; ``notes`` stand below."""

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


def tables(study: ToleranceStudy) -> tuple[Table, ...]:
    """Spread, gaps followed, worst corners, wear, rig card."""
    return _spread(study), _gaps(study), _corners(study), _wear(study), card_table(study)


def lines(study: ToleranceStudy) -> Iterator[str]:
    """Everything for a terminal."""
    yield from answer(study)
    for table in tables(study):
        yield from ("", table.title)
        yield from (f"  {row}" for row in (*columns([table.heads, *table.rows]), *table.notes))
    yield from ("", CAUTION)


def answer(study: ToleranceStudy) -> Iterator[str]:
    """The few sentences that matter."""
    s, t = study.spread, study.setting.plan.study.tolerances
    yield f"{study.source.study.title}: gears as built"
    yield (
        f"{s.samples} gears, seed {s.seed}, {t.distribution} tolerances, pins {PLAY_WORDS[t.wear]}"
        + ("" if s.samples == s.wanted else f"; stopped early, {s.wanted} were wanted")
    )
    if s.locks is not None and s.locks_against is not None:
        yield f"The knee locks (offset left above 0): {chance(s.locks)}, pins resting anywhere"
        yield f"  {chance(s.locks_against)} with all play taken up against the lock"
    if s.above is not None and s.above_against is not None and s.least_offset > 0:
        yield f"Offset left of {s.least_offset:g} mm or more: {chance(s.above)}, pins resting anywhere"
        yield f"  {chance(s.above_against)} with all play taken up against the lock"
    for reason, count in s.failures.items():
        yield f"{count} of {s.samples} gears cannot be: {reason}; counted as failures in everything"
    yield from _short(study)
    yield from _worn(study)
    if s.locks is not None and t.knee_stop_arm is None:
        yield "tolerances.knee_stop_arm is not given: play in the knee is taken not to turn the links on their stop"
    for left in study.setting.left_out:
        yield f"State {left.state} is not followed: {left.why}"
    held = [d.field for d in study.setting.plan.dimensions if d.limit == 0]
    if held:
        yield f"Held exactly, tolerance 0: {', '.join(dict.fromkeys(held))}"


def _short(study: ToleranceStudy) -> Iterator[str]:
    """What is missed by some gears, the most often first; and what no gear at random missed but a corner does."""
    missed = [s for s in study.spread.statistics if s.short is not None and s.short.count]
    for s in sorted(missed, key=lambda s: -(s.short.count if s.short else 0)):
        yield f"Short in {100 * s.short.share:.4g} % of the gears: {_title(s.name)}" if s.short else ""
    if any(math.isinf(c.value) for c in study.corners):
        yield "Within the tolerances there are gears that cannot be: see the worst corners"
    for c in study.corners:
        found = study.spread.statistic(c.result).criterion
        if found is not None and -math.inf < c.value < found.low:
            yield f"Short by {found.low - c.value:.2f} mm at the worst corner of the tolerances: {_title(c.result)}"


def _worn(study: ToleranceStudy) -> Iterator[str]:
    """How far all pins may wear alike."""
    worn = study.setting.plan.study.tolerances.pin_clearance_worn
    for what, limits in (("The offset is gone", study.wear.lock), ("The first gap is short", study.wear.gaps)):
        if limits and limits[0].exact is not None:
            w = limits[0]
            gap = f" ({_title(w.result)})" if limits is study.wear.gaps else ""
            yield f"{what}{gap} with {w.exact:.2f} mm of play in every pin; worn limit {worn:g} mm"


def _title(result: str) -> str:
    return result.rpartition(", ")[0]


def chance(c: Chance) -> str:
    """Share in per cent with its interval."""
    interval = f"95 % interval {100 * c.low:.7g} to {100 * c.high:.7g} %"
    return f"{100 * c.share:.7g} % ({c.count} of {c.of}; {interval})"


def _spread(study: ToleranceStudy) -> Table:
    rows = tuple(_statistic(s) for s in study.spread.statistics)
    notes = (
        "Short: missed by that part of all gears, those that cannot be among them. 95 %: from 2.5 to 97.5 % of them.",
        "Force: weight at the greatest load factor and new springs, without friction, air or inertia.",
        "Nose share: at the loadings that are extreme as drawn. Gaps: exact gears near the places where the drawn gear"
        " comes nearest; nominal state but where a state is named (docs/theory-tolerance.md).",
    )
    heads = ("result", "as drawn", "mean", "deviation", "95 % from", "to", "least", "greatest", "wanted", "short")
    return Table("spread", "Spread", heads, rows, notes)


def _statistic(s: Statistic) -> tuple[str, ...]:
    wanted = "" if s.criterion is None else _span(s.criterion.low, s.criterion.high)
    short = "" if s.short is None else f"{100 * s.short.share:.4g} %"
    inside = s.percentiles[1], s.percentiles[3]
    numbers = (s.drawn, s.mean, s.deviation, *inside, s.least, s.greatest)
    return (s.name, *(shown(v) for v in numbers), wanted, short)


def shown(value: float) -> str:
    """A number as the tables have it, a dash where there is none."""
    return number(value + 0.0) if math.isfinite(value) else "-"


def _span(low: float, high: float) -> str:
    ends = (f">= {low:g}" if math.isfinite(low) else "", f"<= {high:g}" if math.isfinite(high) else "")
    return " and ".join(e for e in ends if e)


def _gaps(study: ToleranceStudy) -> Table:
    """Where each gap that is followed is least as drawn."""
    rows = [
        (
            w.result,
            *names_of(w.pair),
            shown(w.gap),
            f"{w.pair.required:g}",
            f"{w.margin:+.2f}",
            "" if w.pair.judged else "no",
        )
        for w in study.setting.tightest
    ]
    notes = [
        "A state has one result: the least margin of all gaps that it changes, against what each asks in that state.",
        "States with play taken up hold all of it already: followed on the same pieces without play.",
    ]
    notes += [f"Not followed, state {x.state}: {x.why}." for x in study.setting.left_out]
    heads = ("result", "part", "to", "as drawn", "wanted", "margin", "judged")
    return Table("least_gaps", "Gaps followed, where they are least as drawn", heads, tuple(rows), tuple(notes))


def _corners(study: ToleranceStudy) -> Table:
    rows = tuple(_corner(study, c) for c in study.corners)
    notes = (
        "Each value is that of a gear within all tolerances, every pin worn to its limit, evaluated exactly. Nothing"
        " worse was found among all corners of the strongest dimensions; that there is none is not proved.",
    )
    heads = ("result", "as drawn", "worst corner", "straight-line", "least sample", "wanted", "margin", "most by")
    return Table("corners", "Worst corners", heads, rows, notes)


def _corner(study: ToleranceStudy, c: Corner) -> tuple[str, ...]:
    s = study.spread.statistic(c.result)
    low = s.criterion.low if s.criterion is not None else math.nan
    moved = ", ".join(f"{name} {deviation:+.3g}" for name, deviation, _ in c.moved[:3])
    wanted = f">= {low:g}" if math.isfinite(low) else ""
    margin = f"{c.value - low:+.2f}" if math.isfinite(low + c.value) else ""
    value = shown(c.value) if math.isfinite(c.value) else "cannot be"
    return (c.result, shown(c.drawn), value, shown(c.linear), shown(s.least), wanted, margin, moved)


def _wear(study: ToleranceStudy) -> Table:
    w = study.wear
    rows = [_wear_row("offset gone", one) for one in w.lock]
    rows += [_wear_row("offset at its limit", one) for one in w.lock_limit]
    if w.built is not None:
        rows.append(_wear_row("offset gone, pieces at their worst", w.built))
    rows += [_wear_row("first gap short", one) for one in w.gaps]
    notes = (
        "Diametral clearance, every pin resting where it takes most away; the other pins without play. Exact: root on"
        " the gear itself; straight-line: as it begins.",
    )
    heads = ("until", "worn", "of", "wanted", "without play", "exact, mm", "straight-line, mm")
    return Table("wear", "How far it may wear", heads, tuple(rows), notes)


def _wear_row(what: str, w: WearLimit) -> tuple[str, ...]:
    pins = w.pins[0] + " alone" if len(w.pins) == 1 else "all pins alike"
    exact = "short already" if w.short else f"above {FURTHEST:g}" if w.exact is None else f"{w.exact:.2f}"
    linear = "" if w.linear is None or w.short else f"{w.linear:.2f}"
    return (what, pins, w.result, f"{w.wanted:g}", shown(w.drawn), exact, linear)


def card_table(study: ToleranceStudy) -> Table:
    """The rig card."""
    rows = tuple(_line(line) for line in study.card.lines)
    notes: tuple[str, ...] = (
        "Allowed: the range in which every finding followed here holds, this measure alone off. Expected: 95 % of gears"
        " as built; for single pieces their tolerance.",
        "At both ends the actuator is strong enough with friction and air too. What noseleg check judges besides"
        " (ground loads, emergency extension) is not among them.",
    )
    if study.card.left_out:
        notes += (f"Short as drawn already, so left out of the ranges: {', '.join(map(_title, study.card.left_out))}.",)
    heads = ("measure", "unit", "as drawn", "allowed", "expected", "ends it", "how")
    return Table("rig_card", "Rig card", heads, rows, notes)


def _line(line: RigLine) -> tuple[str, ...]:
    ends = [_end(e) for e in line.ends if e]
    expected = f"{shown(line.expected[0])} to {shown(line.expected[1])}"
    return (line.name, line.unit, shown(line.drawn), _allowed(line), expected, ", ".join(dict.fromkeys(ends)), line.how)


def _end(result: str) -> str:
    """What ends a range, in few words: a state by its name, which may be a whole sentence."""
    if result.startswith(STATE):
        return f"state {shorten(_title(result.removeprefix(STATE)), LONGEST_STATE, placeholder=' ...')}"
    return _title(result) if ", " in result else result


def _allowed(line: RigLine) -> str:
    low, high = line.low, line.high
    if math.isnan(low) or (math.isinf(low) and math.isinf(high)):
        return "not judged" if math.isnan(low) else "any"
    least, most = _inward(low, line.drawn, 1.0), _inward(high, line.drawn, -1.0)
    if math.isinf(high):
        return f"{least} or more"
    return f"{most} or less" if math.isinf(low) else f"{least} to {most}"


def _inward(value: float, drawn: float, way: float) -> str:
    """An end of a range, as printed within it; one that is the drawn value as that is printed."""
    text = shown(value)
    decimals = len(text.partition(".")[2])
    if math.isinf(value) or math.isclose(value, drawn, rel_tol=1e-9):
        return text
    beyond = way * (value - float(text)) > 1e-9 * abs(value)
    return f"{float(text) + way * 10.0**-decimals:.{decimals}f}" if beyond else text
