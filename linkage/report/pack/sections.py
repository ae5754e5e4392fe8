"""The sections of the pack that judge, list stations, share and loads."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.loading import Extreme
from linkage.loads import ConditionLoad
from linkage.report import moves
from linkage.report.load_tables import levels
from linkage.report.pack.blocks import Block, Cell, Printed, heading, paragraph, signs, table
from linkage.report.sections.loads import knee
from linkage.results import Results
from linkage.sensitivity import Line
from linkage.solution import Solution
from linkage.units import INCH


def job(solution: Solution) -> Iterator[Block]:
    """What was asked, of which aircraft, and which judgements the answer rests on."""
    r, study = solution.results, solution.results.study
    yield heading("Job and assumptions", 1)
    if study.question:
        yield paragraph(study.question)
    rows: list[tuple[str, str]] = [
        *([("changed from the file", "; ".join(solution.source.changes))] if solution.source.changes else ()),
        ("aircraft", study.airframe.name),
        ("datum", study.airframe.datum),
        ("gear", f"nose gear, folds {study.gear.folds}, {math.degrees(r.gear.swing_up):.4g} deg of swing"),
        ("greatest mass", f"{study.loading.max_mass:g} kg"),
        ("tyre", f"{study.tyre.size}; {study.tyre.source}"),
        ("ground conditions", f"{r.loads.source}; safety factor {r.loads.safety_factor:g}"),
        ("states of the keep-out", "; ".join(r.swept.keep_out.states)),
        ("further states", "; ".join(s.name for s in study.state) or "none"),
        ("axes and units", "FS + aft, BL + right, WL + up; mm, kg, N, deg"),
    ]
    yield table(("what", "as entered"), rows, (0, 1))
    yield heading("Limits that are judgement or rule")
    yield table(("limit", "least", "greatest", "unit", "source"), limits(r), (0, 0, 0, 0, 1))
    if r.loads.left_out:
        yield heading("Rules left out of the ground conditions")
        yield table(("rule", "why"), r.loads.left_out, (0, 1))


UNITS = {"Fractions": "-", "Angles": "deg", "Lengths": "mm", "Velocities": "m/s", "LoadFactor": "g"}


def limits(r: Results) -> Iterator[tuple[str, str, str, str, str]]:
    """Every judgement of the study, as set or by default."""
    judged = r.study.limits
    for name in type(judged).model_fields:
        entry = getattr(judged, name)
        if hasattr(entry, "factor"):
            yield name.replace("_", " "), "-", f"{entry.factor:g}", "-", entry.source
            continue
        ends = tuple("-" if v is None else f"{v:g}" for v in (entry.min, entry.max))
        yield name.replace("_", " "), *ends, UNITS.get(type(entry).__name__, "-"), entry.source


def judged(solution: Solution) -> Iterator[Block]:
    """Findings, those that fall short first."""
    found = solution.findings
    short = sum(not f.passed for f in found)
    yield heading("Findings", 1)
    all_good = f"All {len(found)} findings are good." if found else "Nothing was judged."
    yield paragraph(f"{short} of {len(found)} findings fall short; they stand first." if short else all_good)
    rows = [
        (
            "good" if f.passed else "SHORT",
            f.subject,
            Printed(f.result),
            signs(f.required),
            f.margin,
            f.unit,
            f.at,
            f.state,
            f.source,
        )
        for f in found
    ]
    columns = ("verdict", "what", "actual", "required", "margin", "unit", "where", "state or loading", "limit from")
    yield table(columns, rows, (0, 2, 0, 0, 0, 0, 1.3, 2.3, 2.3), marked=[not f.passed for f in found])


def stations(r: Results) -> Iterator[Block]:
    """Pins gear down and up, and what stands on the ground."""
    yield heading("Stations", 1)
    rows = []
    for name, place in r.stroke.pins.items():
        down, up = complex(place[0]), complex(place[-1])
        fixed = abs(up - down) < 1e-9
        moved: tuple[float | None, float | None] = (None, None) if fixed else (up.real, up.imag)
        rows.append((name, down.real, down.imag, f"{down.real / INCH:.3f}", f"{down.imag / INCH:.3f}", *moved))
    columns = ("pin", "FS down, mm", "WL down, mm", "FS down, in", "WL down, in", "FS up, mm", "WL up, mm")
    yield table(columns, rows, (1, 0, 0, 0, 0, 0, 0), note="Strut extended. A dash: fixed to the airframe.")
    yield heading("On the ground")
    ground = [
        (g.state, g.compression, g.radius, g.axle.real, g.axle.imag, g.nose.real, g.nose.imag, math.degrees(g.pitch))
        for g in r.grounds
    ]
    names = (
        "state",
        "strut in, mm",
        "radius, mm",
        "axle FS, mm",
        "axle WL, mm",
        "contact FS, mm",
        "contact WL, mm",
        "nose up, deg",
    )
    yield table(names, ground, (1, 0, 0, 0, 0, 0, 0, 0), note=f"Mains: contact at FS {r.grounds[0].main.real:.1f} mm.")


def share(r: Results) -> Iterator[Block]:
    """The exact extremes over every loading, with the loading of each."""
    yield heading("Load share", 1)
    low, high = r.share.band
    yield paragraph(
        f"Extremes over every loading of the study, exact at the corners of the loading region; wanted nose share"
        f" {100 * low:g} to {100 * high:g} %. {100 * r.share.in_band:.1f} % of the region lies in the band."
    )
    ground, cg = r.share.ground, r.share.cg
    deg = math.degrees(1.0)
    rows = [
        _extreme("least nose share, %", ground.share_min, 100.0),
        _extreme("greatest nose share, %", ground.share_max, 100.0),
        _extreme("least static nose load, N", ground.nose_load_min),
        _extreme("greatest static nose load, N", ground.nose_load_max),
        _extreme("greatest load on all mains, N", ground.main_load_max),
        _extreme("least tip-back angle, deg", ground.tip_back_min, deg),
        _extreme("greatest turnover angle, deg", r.standing.turnover, deg),
        _extreme("CG forward, gear down, mm", cg.forward),
        _extreme("CG aft, gear down, mm", cg.aft),
        _extreme("CG forward, gear up, mm", r.share.cg_up.forward),
        _extreme("CG aft, gear up, mm", r.share.cg_up.aft),
    ]
    yield table(("quantity", "value", "mass, kg", "CG FS, mm", "CG WL, mm", "loading"), rows, (0, 0, 0, 0, 0, 1))


def _extreme(name: str, e: Extreme, factor: float = 1.0) -> tuple[str, float, float, float, float, str]:
    return name, e.value * factor, e.case.mass_kg, e.case.fs_mm, e.case.wl_mm, str(e.case)


def loads(r: Results) -> Iterator[Block]:
    """Governing loads at both levels, every condition, and the interface loads of the worst strut position of each."""
    yield heading("Ground loads and interface", 1)
    yield paragraph(
        f"Conditions: {r.loads.source}. LIMIT is the greatest load expected in service, ULTIMATE is limit times"
        f" {r.loads.safety_factor:g}. Forces are along (FS aft, BL right, WL up)."
    )
    yield heading("Governing loads")
    rows = [
        (
            g.part,
            g.what,
            None if g.limit is None else _kilo(g.limit, g.unit),
            _kilo(g.ultimate, g.unit),
            g.unit.replace("N mm", "N m"),
            g.load.condition.name,
            g.load.condition.rule,
            g.where,
        )
        for g in r.loads.governing
    ]
    columns = ("part", "what", "LIMIT", "ULTIMATE", "unit", "condition", "rule", "where")
    yield table(columns, rows, (0, 1, 0, 0, 0, 1, 0, 1))
    yield heading("Conditions")
    yield _conditions(r)
    yield heading("Loads on the airframe at its pins")
    yield _interface(r)
    yield from _columns(r)


def _kilo(value: float, unit: str) -> float:
    """Moments in N m on paper."""
    return value / 1e3 if unit == "N mm" else value


def worst_struts(r: Results) -> list[ConditionLoad]:
    """Of each condition the loading and strut position with the greatest brace force, whichever its sign."""
    names = dict.fromkeys(x.condition.name for x in r.loads.conditions)
    return [max(r.loads.under(n), key=lambda x: abs(x.brace)) for n in names]


def _conditions(r: Results) -> Block:
    rows: list[tuple[Cell, ...]] = []
    for x in worst_struts(r):
        for level, factor in levels(x):
            wheel = (factor * float(v) for v in x.wheel)
            numbers = (*wheel, factor * x.brace, factor * x.stop)
            strut = f"{x.strut:.0f}"
            rows.append(
                (x.condition.name, x.condition.rule, level.upper(), *numbers, knee(x), strut, str(x.corner.case))
            )
    columns = (
        "condition",
        "rule",
        "level",
        "aft, N",
        "right, N",
        "up, N",
        "brace, N",
        "stop, N",
        "knee",
        "strut, mm",
        "loading",
    )
    note = (
        "Of each condition the strut position and loading with the greatest brace force (compression +); every other"
        " one is in ground-loads.csv. Aft, right, up: on the gear. Strut: compression."
    )
    return table(columns, rows, (1, 0.6, 0, 0, 0, 0, 0, 0, 0.8, 0, 1.5), note)


def _interface(r: Results) -> Block:
    rows: list[tuple[Cell, ...]] = []
    for x in worst_struts(r):
        for level, factor in levels(x):
            for p in x.airframe:
                force = (factor * float(v) for v in p.force)
                couple = (factor * float(v) / 1e3 for v in p.couple)
                rows.append((x.condition.name, level.upper(), p.name, *(float(v) for v in p.at), *force, *couple))
    columns = (
        "condition",
        "level",
        "pin",
        "FS, mm",
        "BL, mm",
        "WL, mm",
        "aft, N",
        "right, N",
        "up, N",
        "couple FS, N m",
        "couple BL, N m",
        "couple WL, N m",
    )
    note = "Force and couple ON THE AIRFRAME by the gear. All loadings and strut positions: interface-loads.csv."
    return table(columns, rows, (1.2, 0, 0.9, 0, 0, 0, 0, 0, 0, 0, 0, 0), note)


def _columns(r: Results) -> Iterator[Block]:
    if not r.loads.columns:
        return
    yield heading("Brace in compression")
    rows = [(c.member, c.length, c.euler, c.capacity, c.ultimate, c.method) for c in r.loads.columns]
    columns = ("member", "length, mm", "Euler, N", "capacity, N", "ULTIMATE load, N", "method")
    yield table(columns, rows, (0, 0, 0, 0, 0, 1))


def moved(lines: tuple[Line, ...]) -> Iterator[Block]:
    """Which dimension moves which result; rows whose stated tolerance is too wide are set off."""
    yield heading(moves.TITLE, 1)
    yield paragraph(moves.NOTE)
    rows, wide, before = [], [], ""
    for (result, *cells), too_wide in moves.rows(lines):
        rows.append(("" if result == before else signs(result), *(signs(c) for c in cells)))
        wide.append(too_wide)
        before = result
    yield table(moves.COLUMNS, rows, (1.6, 1, 0, 1.2, 0, 0), marked=wide)
