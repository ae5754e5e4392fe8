"""From ``gear.brace.over_centre=2:8:13`` to the values it means; all faults at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from linkage.document.paths import named, numbered, paths, unknown
from linkage.document.reader import parse, units_of
from linkage.document.variants import value_at
from linkage.document.ways import divided, put
from linkage.document.write import raw_at
from linkage.errors import DocumentError, Fault
from linkage.trade.model import Vary
from linkage.units import FACTORS, convert

MOST_POINTS = 20_000
"""More would run for hours on any one machine; the search of positions is made for that."""

FORM = "PATH=LOW:HIGH:COUNT or PATH=VALUE,VALUE,..., such as gear.brace.over_centre=2:8:13"
NUMBER = "a path to a number, such as gear.brace.over_centre"
DIGITS = 12
"""Significant digits of a value between the ends, so that 0.1 steps are read as they would be written."""


def varies(texts: Sequence[str], table: Mapping[str, Any]) -> tuple[Vary, ...]:
    """What to vary in the study that ``table`` is, read as TOML. Raises ``DocumentError`` with every fault."""
    faults: list[Fault] = []
    found: list[Vary] = []
    known = paths(table)
    if not 1 <= len(texts) <= 2:
        faults.append(Fault("--vary", f"given {len(texts)} times", "one or two numbers to vary"))
    for text in texts:
        try:
            found.append(_vary(text, table, known))
        except DocumentError as err:
            faults += err.faults
    faults += _together(found)
    if faults:
        raise DocumentError(faults, "command line")
    return tuple(found)


def _together(found: Sequence[Vary]) -> Iterator[Fault]:
    names = [v.path for v in found]
    for name in dict.fromkeys(n for n in names if names.count(n) > 1):
        yield Fault(f"--vary {name}", f"given {names.count(name)} times", "two different numbers")
    points = math.prod(len(v.values) for v in found)
    if points > MOST_POINTS:
        sizes = " x ".join(str(len(v.values)) for v in found)
        yield Fault("--vary", f"{sizes} = {points} points", f"at most {MOST_POINTS} points")


def _vary(text: str, table: Mapping[str, Any], known: Mapping[str, str]) -> Vary:
    field, equals, wanted = divided(text)
    if not equals or not wanted.strip():
        raise _fault("--vary", repr(text), FORM)
    fault = unknown(field.strip(), known, table)
    if fault is not None:
        raise DocumentError([fault], "command line")
    path = numbered(field.strip(), table)
    unit, factor = _unit(known[path], table)
    present = _present(path, known[path], factor, table)
    read = _Reader(f"--vary {path}", known[path], factor)
    return Vary(path, _values(read, wanted), unit, present, named(path, table))


@dataclass(frozen=True)
class _Reader:
    """A value for one place of the study as it is written: in the file's unit, or with a unit of its own."""

    where: str
    kind: str
    factor: float

    def __call__(self, text: str) -> float:
        text = text.strip().strip("'\"")
        try:
            number = float(text)
        except ValueError:
            number = self._with_unit(text)
        if not math.isfinite(number):
            raise _fault(self.where, f"{text!r} is not finite", "finite numbers")
        return number

    def _with_unit(self, text: str) -> float:
        if self.kind not in FACTORS or not text:
            raise _fault(self.where, f"{text!r} is not a number", FORM)
        try:
            return _rounded(convert(text, self.kind) / self.factor)
        except ValueError as err:
            found, _, expected = str(err).partition("; expected ")
            raise _fault(self.where, f"{text!r} {found}", expected) from None


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _values(read: _Reader, wanted: str) -> tuple[float, ...]:
    where, parts = read.where, wanted.strip().strip("[]").split(":")
    if len(parts) == 1:
        return _listed(where, [read(part) for part in parts[0].split(",")])
    if len(parts) != 3:
        raise _fault(where, repr(wanted), FORM)
    low, high, count = read(parts[0]), read(parts[1]), replace(read, kind="")(parts[2])
    if count != int(count) or count < 2:
        raise _fault(where, f"{count:g} values", "a whole number of values, at least 2")
    if not low < high:
        raise _fault(where, f"from {low:g} to {high:g}", "a range with low below high")
    if count > MOST_POINTS:
        raise _fault(where, f"{count:.0f} points", f"at most {MOST_POINTS} points")
    values = tuple(_rounded(v) for v in np.linspace(low, high, int(count)))
    if len(set(values)) < len(values):
        raise _fault(where, f"{count:g} values from {low!r} to {high!r}", f"values that differ in {DIGITS} digits")
    return values


def _listed(where: str, values: list[float]) -> tuple[float, ...]:
    if len(values) < 2:
        raise _fault(where, f"one value, {values[0]:g}", "at least two; for one design use --set")
    twice = next((v for v in values if values.count(v) > 1), None)
    if twice is not None:
        raise _fault(where, f"{twice:g} is there {values.count(twice)} times", "every value once")
    return tuple(sorted(values))


def _unit(kind: str, table: Mapping[str, Any]) -> tuple[str, float]:
    """The file's unit of a kind of number, and how many inside units it is."""
    if not kind:
        return "", 1.0
    units = units_of(table)
    return str(getattr(units, kind)), units.factor(kind)


def _present(field: str, kind: str, factor: float, table: Mapping[str, Any]) -> float | None:
    """What the file says now, in its own unit; what is left out is as the document has it."""
    value = raw_at(table, field)
    if value is None:
        value = _default(field, table)
        plainly = isinstance(value, bool | int | float | str | tuple)
        return _number(field, value) / factor if plainly else None
    if isinstance(value, str) and kind in FACTORS:
        try:
            return convert(value, kind) / factor
        except ValueError:
            pass  # the reader names that fault better
    return _number(field, value)


def _number(field: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        kinds = {dict: "a table", list: "a list", tuple: "a list", str: "a text", bool: "true or false"}
        what = kinds.get(type(value), "no number")
        raise _fault(f"--vary {field}", f"is {what}", f"a number, such as {field}[0]" if what == "a list" else NUMBER)
    return float(value)


def _default(field: str, table: Mapping[str, Any]) -> Any:
    """What the document has where the file says nothing, in inside units."""
    try:
        return value_at(parse(table), field)
    except DocumentError:  # part of a table that is left out
        return None


def _fault(field: str, found: str, expected: str) -> DocumentError:
    return DocumentError([Fault(field, found, expected)], "command line")


def placed(table: dict[str, Any], some: Sequence[Vary], values: Sequence[float]) -> None:
    """Put the values of one point into a plain table."""
    for vary, value in zip(some, values, strict=True):
        put(table, vary.path, value)
