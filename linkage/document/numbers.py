"""Every continuous number of a study: its path, its kind, its unit and its value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from linkage.document.paths import kind_of
from linkage.document.quantities import Place
from linkage.document.study import Study


@dataclass(frozen=True)
class Number:
    """``value`` as the document holds it once read (mm, kg, N, deg); ``unit``: the study's own, of which one is
    ``factor`` of those; both say nothing where ``kind`` is empty. ``label``: the path with names in its brackets."""

    path: str
    label: str
    kind: str
    unit: str
    factor: float
    value: float


def numbers(study: Study, under: tuple[str, ...]) -> Iterator[Number]:
    """Those at or below the paths ``under``, in the document's order. Whole numbers and switches are none."""
    for path, label, kind, value in _below("", "", study):
        if any(path == top or path.startswith((f"{top}.", f"{top}[")) for top in under):
            unit = str(getattr(study.units, kind)) if kind else ""
            yield Number(path, label, kind, unit, study.units.factor(kind) if kind else 1.0, value)


Leaf = tuple[str, str, str, float]
FORMS = (("at",), ("along", "offset"), ("radius", "angle"))
"""A place is given in one of these ways; the numbers of the others say nothing."""


def _below(path: str, label: str, table: BaseModel) -> Iterator[Leaf]:
    given: set[str] = set(type(table).model_fields)
    if isinstance(table, Place):
        given = {name for form in FORMS if getattr(table, form[0]) is not None for name in form}
    for name, field in type(table).model_fields.items():
        if name in given:
            key = f".{field.alias or name}" if path else field.alias or name
            yield from _inside(path + key, label + key, kind_of(field), getattr(table, name))


def _inside(path: str, label: str, kind: str, value: Any) -> Iterator[Leaf]:
    if isinstance(value, float):
        yield path, label, kind, value
    elif isinstance(value, BaseModel):
        yield from _below(path, label, value)
    elif isinstance(value, tuple):
        names = [getattr(entry, "name", None) for entry in value]
        for i, entry in enumerate(value):
            known = names[i] if names.count(names[i]) == 1 and names[i] else i
            yield from _inside(f"{path}[{i}]", f"{label}[{known}]", kind, entry)
