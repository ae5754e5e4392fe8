"""Tables of the page: plain rows of text and numbers, every column with its unit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from linkage.report import moves
from linkage.report.headline import headline
from linkage.report.sheets import Sheet
from linkage.results import Results
from linkage.sensitivity import Line

Cell = str | float


@dataclass(frozen=True)
class Table:
    title: str
    note: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tables(r: Results) -> tuple[Table, ...]:
    """In the order in which a review reads them."""
    return (_clearance(r), _own(r), _loads(r), _pins(r), _headline(r))


def sheet_table(worked: tuple[Sheet, ...]) -> Table:
    """Relation, numbers put in, result and the solver's own number of every worked sheet."""
    rows = tuple(
        (s.title, s.text(), s.numbers(), s.result, s.unit, s.solver, f"{s.difference:.1e}", s.source) for s in worked
    )
    columns = ("quantity", "relation", "numbers put in", "result", "unit", "solver", "difference", "source")
    note = "Computed from the symbols, independent of the solver; angles in degrees; inputs are listed in the pack."
    return Table("Worked sheets", note, columns, rows)


def moves_table(moved: tuple[Line, ...]) -> Table:
    """Ten dimensions of each result."""
    return Table(moves.TITLE, moves.NOTE, moves.COLUMNS, tuple(row for row, _ in moves.rows(moved)))


def _clearance(r: Results) -> Table:
    rows = tuple(
        (g.item, g.part, g.gap, g.required, g.margin, g.lateral, math.degrees(g.swing)) for g in r.clearance.per_item()
    )
    columns = (
        "bay item",
        "part",
        "gap, mm",
        "required, mm",
        "margin, mm",
        "of it across butt lines, mm",
        "at swing, deg",
    )
    note = f"Guaranteed lower bounds over the whole stroke; state: {r.swept.keep_out.states[0]}."
    return Table("Clearance to the bay", note, columns, rows)


def _own(r: Results) -> Table:
    rows = tuple((g.part, g.item, g.gap, g.required, g.margin, math.degrees(g.swing)) for g in r.clearance.own)
    columns = ("part", "other part", "gap, mm", "required, mm", "margin, mm", "at swing, deg")
    return Table("Gear against itself", "Declared neighbours are left out.", columns, rows)


def _loads(r: Results) -> Table:
    rows = tuple(
        (
            x.condition.name,
            x.condition.rule,
            x.wheel.real,
            x.wheel.imag,
            x.brace,
            x.stop,
            x.trunnion.real,
            x.trunnion.imag,
        )
        for x in r.loads.locked
    )
    columns = (
        "condition",
        "rule",
        "wheel aft, N",
        "wheel up, N",
        "brace (compression +), N",
        "knee stop, N",
        "trunnion aft, N",
        "trunnion up, N",
    )
    return Table("Ground loads on the locked gear", "LIMIT loads; trunnion: on the airframe.", columns, rows)


def _pins(r: Results) -> Table:
    rows = tuple(
        (name, float(p[0].real), float(p[0].imag), float(p[-1].real), float(p[-1].imag))
        for name, p in r.stroke.pins.items()
    )
    columns = ("pin", "FS down, mm", "WL down, mm", "FS up, mm", "WL up, mm")
    return Table("Pins", "Strut extended.", columns, rows)


def _headline(r: Results) -> Table:
    rows = tuple((key, "" if value is None else value) for key, value in headline(r).items())
    return Table("Headline", "The numbers scripts rely on; units end the names.", ("name", "value"), rows)
