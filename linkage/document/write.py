"""Write changed values back into the text of a study: its comments, order, units and all other values stay.

A *raw* value is what stands in the file: a number in the file's unit of its kind, or a text with its own unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkage.document.quantities import Units
from linkage.document.ways import steps
from linkage.errors import DocumentError, Fault
from linkage.units import FACTORS, convert, unit_in

Raw = int | float | str

DIGITS = 9
"""Decimals kept of a number that is a whole number of steps: far below any step, far above rounding."""


@dataclass(frozen=True)
class Manner:
    """How a number is written in its file: ``unit`` of ``kind``, beside the number or not, whole or with decimals."""

    kind: str
    unit: str
    beside: bool
    whole: bool

    def raw(self, inside: float, step: float) -> Raw:
        """The value in inside units (docs/conventions.md; angles in deg) rounded to a whole number of ``step``, which
        is in the file's unit."""
        number = round(round(inside / FACTORS[self.kind][self.unit] / step) * step, DIGITS) + 0.0
        shown: int | float = int(number) if number.is_integer() and (self.whole or self.beside) else number
        return f"{shown!r} {self.unit}" if self.beside else shown

    def inside(self, raw: Raw) -> float:
        """What the reader makes of a raw value."""
        return convert(raw, self.kind) if isinstance(raw, str) else float(raw) * FACTORS[self.kind][self.unit]


def manner(table: Mapping[str, Any], field: str, kind: str) -> Manner:
    """How the file writes a number, or would write it where it is left out."""
    units = Units.model_validate(table.get("units", {}))
    raw = raw_at(table, field)
    if isinstance(raw, str):
        return Manner(kind, unit_in(raw), True, "." not in raw)
    return Manner(kind, getattr(units, kind), False, not isinstance(raw, float))


def raw_at(table: Mapping[str, Any], field: str) -> Any:
    """The raw value at a dotted path of the study, None where the file leaves it out."""
    here: Any = table
    for step in steps(field):
        if step == "at" and isinstance(here, list):  # [FS, WL] is short for { at = [FS, WL] }
            continue
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            return None
    return here


def rewritten(text: str, changes: Mapping[str, Any]) -> str:
    """The text of a study with other raw values at dotted paths. Raises ``DocumentError`` for a path with no place."""
    import tomlkit

    document = tomlkit.parse(text)
    for field, value in changes.items():
        try:
            _put(document, field, value)
        except (KeyError, IndexError, TypeError, AttributeError) as err:
            raise DocumentError([Fault(field, "no such place in the study", "a path in the study")]) from err
    return tomlkit.dumps(document)


def _put(document: Any, field: str, value: Any) -> None:
    from tomlkit.items import InlineTable

    *way, last = steps(field)
    here: Any = document
    for step in way:
        if step == "at" and isinstance(here, list):
            continue
        if isinstance(step, str) and step not in here:
            here[step] = {}
        here = here[step]
    spaced = isinstance(here, InlineTable) and last not in here and here.as_string().endswith(" }")
    here[last] = value
    if spaced:
        here.value.item(last).trivia.trail = " "
