"""The sections of the pack on lock, clearance and keep-out; worked sheets and the validation statement."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linkage.clearance import Gap
from linkage.report.cautions import GUARANTEE
from linkage.report.pack.blocks import Block, Cell, heading, minus, paragraph, said, table
from linkage.report.pack.formula import formula, symbol
from linkage.report.sheets import Sheet
from linkage.report.validation import STATUS, shown, validation
from linkage.results import Results


def lock(r: Results) -> Iterator[Block]:
    """Offset, travel to dead centre, what presses the knee onto its stop, what holds it under every condition."""
    k, travel = r.lock, r.lock.travel
    rows: list[tuple[str, Cell, str]] = [
        ("over-centre offset", k.offset, "mm"),
        ("knee past straight", None if k.bend is None else math.degrees(k.bend), "deg"),
    ]
    if travel is not None:
        rows += [
            ("actuator travel, dead centre to lock", abs(travel.dead_travel), "mm"),
            ("actuator driven back on the way", travel.back, "mm"),
            ("leg swings beyond the lock", math.degrees(travel.overswing), "deg"),
        ]
    rows += [(f"press of {name}, at the stop", force, "N") for name, force in k.preload.springs.items()]
    rows += [
        ("press of the springs, cold and worn", k.preload.least, "N"),
        ("press of the weight, on jacks", k.preload.weight, "N"),
    ]
    yield table(("lock", "value", "unit"), rows, (1, 0, 0), note=f"Forces are stated at: {k.seat.what}.")
    if not k.held:
        return
    yield heading("What holds the lock, ULTIMATE")
    held = [
        (
            h.load.condition.name,
            h.load.condition.rule,
            h.brace,
            h.press,
            h.demand,
            "springs alone" if h.holder is None else h.holder.name,
            h.capacity,
            h.margin,
        )
        for h in k.held
    ]
    columns = ("condition", "rule", "brace, N", "press, N", "left to hold, N", "holder", "capacity, N", "margin, N")
    yield table(columns, held, (1, 1, 0, 0, 0, 1, 0, 0), note="Brace: compression +. Press: + onto the stop.")


def clearance(r: Results) -> Iterator[Block]:
    """Worst pair of every bay item, of the gear with itself, and the worst state of each."""
    columns = ("bay item", "part", "gap, mm", "required, mm", "margin, mm", "across BL, mm", "at swing, deg")
    widths = (1, 1, 0, 0, 0, 0, 0)
    note = f"Guaranteed lower bounds over the whole stroke. State: {r.swept.keep_out.states[0]}."
    yield table(columns, [(g.item, *_gap(g)) for g in r.clearance.per_item()], widths, note, _short(r))
    if r.clearance.own:
        yield heading("Gear against itself")
        yield table(("part", "other part", *columns[2:]), [(g.item, *_gap(g)) for g in r.clearance.own], widths)
    if r.states.worst:
        yield heading("Worst state of each item")
        rows = [
            (x.gap.item, x.gap.part, x.gap.gap, x.gap.required, x.gap.margin, x.state, x.corner) for x in r.states.worst
        ]
        names = (*columns[:5], "state", "engine")
        yield table(names, rows, (1, 1, 0, 0, 0, 1.5, 1), marked=[x.gap.margin < 0 for x in r.states.worst])


def _gap(g: Gap) -> tuple[str, float, float, float, float, float]:
    return g.part, g.gap, g.required, g.margin, g.lateral, math.degrees(g.swing)


def _short(r: Results) -> list[bool]:
    return [g.margin < 0 for g in r.clearance.per_item()]


def keep_out(r: Results) -> Iterator[Block]:
    """What is guaranteed, how large it is, and its slabs across butt lines."""
    k = r.swept.keep_out
    yield heading("Keep-out", 1)
    yield paragraph(GUARANTEE)
    rows: list[tuple[str, str]] = [
        ("area in the side view", f"{k.side_area / 1e6:.4f} m2"),
        ("volume", f"{k.volume / 1e9:.4f} m3"),
        ("allowance", f"{k.allowance:g} mm"),
        ("tolerance", f"{k.tolerance:g} mm"),
        ("states covered", "; ".join(k.states)),
        ("clip", k.clip or "none"),
    ]
    yield table(("keep-out", "value"), rows, (0, 1))
    yield heading("Slabs across butt lines")
    slabs = [_slab(s.bl_lo, s.bl_hi, s.region) for s in k.slabs]
    columns = ("from BL, mm", "to BL, mm", "area, cm2", "FS least", "FS greatest", "WL least", "WL greatest")
    yield table(columns, slabs, (1,) * len(columns), note="The region is the same across a slab. Solids and drawings"
                " of it are handed over beside this pack.")  # fmt: skip


def _slab(low: float, high: float, region: object) -> tuple[float, ...]:
    x0, y0, x1, y1 = region.bounds  # type: ignore[attr-defined]
    return low, high, region.area / 100.0, x0, x1, y0, y1  # type: ignore[attr-defined]


def worked(sheets: tuple[Sheet, ...]) -> Iterator[Block]:
    """The hand calculations, each from its symbols alone, beside the solver's number."""
    yield heading("Worked sheets", 1)
    yield paragraph(
        "Each number is computed from the relation and the values given, independently of the solver, and stands beside"
        " the solver's own. Anyone can follow it with a pocket calculator."
    )
    yield from (_sheet(s) for s in sheets)


def _sheet(s: Sheet) -> Block:
    given = [
        {"symbol": symbol(n), "value": minus(f"{g.value:.7g}"), "unit": _unit(g.unit), "meaning": said(g.meaning)}
        for n, g in s.given.items()
    ]
    return {
        "kind": "sheet",
        "title": said(s.title),
        "source": said(s.source),
        "formula": formula(s.symbol, s.relation),
        "symbol": symbol(s.symbol),
        "given": given,
        "numbers": said(s.numbers().replace("**", "^")),
        "result": minus(f"{s.result:.7g}"),
        "solver": minus(f"{s.solver:.7g}"),
        "difference": minus(f"{s.difference:.1e}"),
        "unit": _unit(s.unit),
        "agrees": s.agrees,
    }


def _unit(unit: str) -> str:
    return "" if unit == "-" else unit


def validated() -> Iterator[Block]:
    """Which published checks this version passes, computed while the pack is written."""
    found = validation()
    good = sum(c.passed for c in found)
    yield heading("Validation statement", 1)
    yield paragraph(
        f"This version passes {good} of {len(found)} published checks, computed anew for this pack. {STATUS} The"
        " tolerance is half of the last printed digit unless the source carries rounding of its own."
    )
    rows = [
        (
            c.case.ident,
            c.source.title,
            c.case.status,
            f"{c.case.inputs}: {c.case.quantity}",
            minus(f"{c.case.published:.10g}"),
            f"{c.case.within:g}",
            minus(shown(c)),
            c.case.unit,
            "passes" if c.passed else "FAILS",
        )
        for c in found
    ]
    columns = ("id", "source", "status", "quantity", "published", "tolerance", "computed", "unit", "verdict")
    yield table(columns, rows, (0, 1.4, 0, 1.6, 0, 0, 0, 0, 0), marked=[not c.passed for c in found])
