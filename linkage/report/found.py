"""What a search found, as files: a study for each design, tables, the front as a chart, linkages over one another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from linkage import __version__
from linkage.checks.finding import number
from linkage.document.reader import Source
from linkage.drawing.front_chart import caption, front_figure, linkages_figure, sentence
from linkage.folders import staged
from linkage.obstacles import obstacles
from linkage.report.columns import columns
from linkage.report.writing import both, csv_text, json_text, lines_text, save_both
from linkage.search import screen, survivors
from linkage.search.found import Found, Member
from linkage.search.screened import FORCE, LOCK, MARGIN, MOMENT

UNITS = {MARGIN: "mm", FORCE: "N", MOMENT: "kg_mm", LOCK: "mm"}
HEADS = {MARGIN: "margin, mm", FORCE: "force, N", MOMENT: "moment, kg mm", LOCK: "lock, mm"}
DRAWN = 4
"""Found linkages drawn over one another, beside the present one."""

RELAX = {
    screen.CLOSE: "shorten wanted.upper_link or move wanted.upper_pin away from the leg",
    screen.REACH: "move the upper pin or lengthen the links: wanted.upper_pin, wanted.upper_link",
    screen.LIMITS: "move wanted.over_centre into its limits, or wanted.trunnion ahead or aft of wanted.wheel.down",
    screen.WAY: "name more ways in wanted.knee_folds, or widen wanted.upper_pin",
    screen.CENTRE: "lower wanted.over_centre or widen wanted.upper_pin",
    screen.JAM: "widen wanted.upper_pin or wanted.lug",
    screen.ANGLE: "lower wanted.transmission_angle or widen wanted.upper_pin",
    screen.DEAD: "widen wanted.actuator.root or wanted.actuator.pin",
    screen.BACK: "widen wanted.actuator.root or wanted.actuator.pin",
    screen.LENGTH: "add actuators to wanted.actuator.catalogue or widen wanted.actuator.root",
    screen.LOCKING: "raise wanted.over_centre or wanted.actuator.pin radius",
    screen.PUSH: "add a stronger actuator to wanted.actuator.catalogue, or a longer wanted.actuator.pin",
    screen.FOLD: "name ways across the brace in wanted.knee_folds",
    screen.TRUNNION: "widen wanted.trunnion, or raise the tolerances of wanted.wheel",
    screen.SWING: "widen wanted.swing_up, or name the other way in wanted.folds",
    screen.LEG: "widen wanted.leg_length, or bring wanted.axle_offset nearer to 0",
    screen.LOWER: "widen wanted.lower_link, or wanted.upper_link and wanted.upper_pin that make it",
    screen.KNEE: "widen wanted.knee, or wanted.upper_pin and wanted.upper_link that lead there",
    screen.AXLE: "raise the tolerances of wanted.wheel",
    survivors.MOVING: "add a stronger actuator to wanted.actuator.catalogue",
    survivors.SELF_GAP: "move pins apart or declare neighbours: gear.neighbours",
}
"""What to relax where a reason, or its beginning, refuses most."""

WIDEN = "widen the regions of [wanted]"


def lines(found: Found) -> Iterator[str]:
    """The answer, the designs, and what was refused for which reason."""
    yield sentence(found) + "."
    yield (
        f"{found.sampled} candidates screened in {found.screening:.0f} s"
        f" ({60 * found.sampled / max(found.screening, 1e-9) / 1e6:.2f} million a minute), {found.passed} passed;"
        f" {found.looked_at} looked at closely; {found.seconds:.0f} s in all; seed {found.seed}"
    )
    if found.redone:
        yield f"{found.redone} batches were done again: their worker was lost"
    for code, subject, state in found.excused:
        where = f" ({state})" if state else ""
        yield f"refuses none, for the present design has it too: {code} short, {subject}{where}"
    yield ""
    yield from _designs(found)
    yield ""
    yield from refusals(found)
    if not found.members:
        yield ""
        yield from advice(found)


def _designs(found: Found) -> Iterator[str]:
    rows = [("design", "score", *HEADS.values(), "tightest")]
    rows += [_row(m.name + (" (refined)" if m.refined else ""), f"{m.score:.3f}", m.judged) for m in found.members]
    yield from columns([*rows, _row("present", "", found.present)], right=range(1, 6))


def _row(name: str, score: str, judged: Any) -> tuple[str, ...]:
    if not judged.measures:
        return (name, score, "", "", "", "", judged.reason)
    pair = (judged.headline.get("least_margin_part"), judged.headline.get("least_margin_item"))
    tightest = " to ".join(str(p) for p in pair if p)
    return (name, score, *(_shown(judged.measures[k]) for k in HEADS), tightest)


def _shown(value: float) -> str:
    return number(value) if math.isfinite(value) else "none"


def refusals(found: Found) -> Iterator[str]:
    """Counts and parts, of the screening and of what came after it."""
    yield f"refused by screening, of {found.sampled}:"
    yield from _counts(found.refused, found.sampled)
    if found.refused_later:
        more = found.passed + found.refined
        yield f"refused or left out afterwards, of {found.passed} that passed and {found.refined} more by refinement:"
        yield from _counts(found.refused_later, more)


def _counts(counts: Mapping[str, int], of: int) -> Iterator[str]:
    for reason, count in counts.items():
        yield f"{count:>10} {100 * count / max(of, 1):6.2f} %  {reason}"


def advice(found: Found) -> Iterator[str]:
    """Which reason refused most, and which the last ones where nothing passed, and what to relax."""
    if not found.sampled:
        yield "nothing was screened: it was stopped before the first batch was done"
        return
    counts = found.refused if not found.passed else found.refused_later
    if not counts:
        yield "nothing was judged: it was stopped too early"
        return
    most = next(iter(counts))
    more = f"or look at more candidates: --candidates {4 * max(found.asked, 1)}" if found.passed else ""
    yield f"most were refused because: {most}; {'; '.join(h for h in (_hint(most), more) if h) or WIDEN}"
    if not found.passed and (last := furthest(counts)) != most:
        yield f"those that came furthest were refused because: {last}; {_hint(last) or WIDEN}"


def _hint(reason: str) -> str:
    """What to relax, empty where that is not known."""
    hint = next((text for start, text in RELAX.items() if reason.startswith(start)), "")
    near = reason.startswith((screen.NEAR, survivors.GAP))
    return hint or ("move or shrink that bay item, or move wanted.wheel or the pins away from it" if near else "")


def furthest(counts: Mapping[str, int]) -> str:
    """Of the reasons of a screening that nothing passed, the one of those that came furthest."""
    at_poses = [r for r in counts if r == screen.PUSH or r.startswith(screen.NEAR)]
    order = [reason for reason, _ in (*screen.PLACED, *screen.DRAWN)]
    return at_poses[0] if at_poses else max(counts, key=order.index)


def found_csv(found: Found) -> str:
    """One row a design, the present one last. Text that a spreadsheet would run is made harmless."""
    fields = sorted({field for m in found.members for field in m.changes})
    own = found.present
    extra = list(own.headline or (found.members[0].judged.headline if found.members else {}))
    rows: list[list[object]] = [
        ["design", "score", "refined", *(f"{k}_{UNITS[k]}" for k in HEADS), *extra, *fields],
    ]
    for m in found.members:
        told = [m.judged.headline.get(k) for k in extra]
        row = [m.name, m.score, m.refined, *(m.judged.measures[k] for k in HEADS), *told]
        rows.append([*row, *(m.changes.get(f) for f in fields)])
    told = [*(own.measures.get(k) for k in HEADS), *(own.headline.get(k) for k in extra)]
    rows.append(["present", None, None, *told, *(None for _ in fields)])
    return csv_text(rows)


def found_json(found: Found) -> str:
    """Everything, NaN as null."""
    table = {
        "version": __version__,
        "study": {"title": found.title, "sha256": found.sha256},
        "answer": sentence(found),
        "stopped_early": found.stopped,
        "seed": found.seed,
        "candidates": {"asked": found.asked, "screened": found.sampled, "passed": found.passed, "posed": found.posed},
        "refused": dict(found.refused),
        "looked_at": found.looked_at,
        "refined": found.refined,
        "refused_later": dict(found.refused_later),
        "excused": [list(f) for f in found.excused],
        "present": _judged(found.present),
        "designs": [_design(m) for m in found.members],
    }
    return json_text(table)


def _design(m: Member) -> dict[str, Any]:
    return {"score": m.score, "refined": m.refined, "changes": dict(m.changes), **_judged(m.judged)}


def _judged(j: Any) -> dict[str, Any]:
    measures = {f"{k}_{UNITS[k]}": j.measures.get(k) for k in HEADS}
    told = {"name": j.name, "study_sha256": j.sha256, "reason": j.reason}
    return {**told, **measures, **j.headline, "short": [list(f) for f in j.short]}


def write_found(found: Found, source: Source, folder: Path) -> str:
    """Write the studies, found.json, found.csv, found.txt and pictures; returns what was written."""
    pictures = [("front", front_figure(found), caption(found))] if found.members else []
    if found.members:
        title = f"{found.title}: present gear and the best found, gear down and (broken) up"
        bay = obstacles(source.study, source.path.parent)
        pictures.append(("linkages", linkages_figure(title, _designed(found, source), bay), title))
    names = [f"{m.name}.toml" for m in found.members]
    stale = ["found-[0-9][0-9].toml", "found-[0-9][0-9][0-9].toml", *both(("front", "linkages"))]
    with staged(folder, "found.json", stale) as draft:
        for member, name in zip(found.members, names, strict=True):
            (draft / name).write_text(member.text, encoding="utf-8")
        (draft / "found.csv").write_text(found_csv(found), encoding="utf-8")
        (draft / "found.txt").write_text(lines_text(lines(found)), encoding="utf-8")
        (draft / "found.json").write_text(found_json(found), encoding="utf-8")
        for name, figure, alt in pictures:
            save_both(figure, draft, name, found.title, alt)
    some = [f"{names[0]} .. {names[-1]}" if len(names) > 1 else names[0]] if names else []
    shown = [*some, "found.json/.csv/.txt", *(f"{name}.svg/.png" for name, _, _ in pictures)]
    return f"wrote {', '.join(shown)} to {folder}"


def _designed(found: Found, source: Source) -> list[tuple[str, Any, Any]]:
    import tomllib

    from linkage.document.reader import parse
    from linkage.errors import LinkageError
    from linkage.stroke import gear_and_stroke

    def drawn(name: str, study: Any) -> Iterator[tuple[str, Any, Any]]:
        try:
            yield (name, *gear_and_stroke(study))
        except LinkageError:
            return

    out = list(drawn("present", source.study))
    for m in found.members[:DRAWN]:
        out += drawn(m.name, parse(tomllib.loads(m.text), m.name))
    return out


__all__: Sequence[str] = ["advice", "found_csv", "found_json", "lines", "refusals", "write_found"]
