"""Paths of a study, such as ``gear.leg.length``: which there are, what kind of number each is, which are near."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from annotated_types import BaseMetadata
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from linkage.document.quantities import Kind, models_in
from linkage.document.study import Study
from linkage.document.ways import INDEX, place
from linkage.errors import Fault

_STEP = re.compile(rf"([^.\[\]]+)|\[({INDEX})\]")

NEAR = 3
"""Paths named when one is not there."""


def paths(table: Mapping[str, Any]) -> dict[str, str]:
    """Path -> kind of number (``length``, ``angle``, ...; empty where it has no unit or is no number), of every place
    that a study has or might have: those of the plain ``table`` and those that the models know beside them."""
    return dict(_below("", [Study], table))


def numbered(field: str, table: Mapping[str, Any]) -> str:
    """A path with names in its brackets, such as ``bay.item[oil cooler].required``, with places in the list instead.
    A name may stand in quotes."""
    here: Any = table
    for name, written in _STEP.findall(field):
        index = _bare(written)
        if isinstance(here, list) and index and (index != written or place(index) is None):
            found = _called(index, here)
            if len(found) != 1:
                return field
            field, index = field.replace(f"[{written}]", f"[{found[0]}]", 1), str(found[0])
        here = _inner(here, name, index)
    return field


def named(field: str, table: Mapping[str, Any]) -> str:
    """A path with the names of entries in its brackets wherever they have one of their own: what `numbered` turns
    back."""
    here: Any = table
    said = ""
    for name, index in _STEP.findall(field):
        entry = _inner(here, name, index)
        said += f"[{_label(entry, here) or index}]" if not name else f".{name}" if said else name
        here = entry
    return said


def _inner(here: Any, name: str, index: str) -> Any:
    at = place(index)
    if isinstance(here, list):
        return here[at] if at is not None and at < len(here) else None
    return here.get(name) if isinstance(here, Mapping) else None


def _called(name: str, entries: Sequence[Any]) -> list[int]:
    return [i for i, entry in enumerate(entries) if isinstance(entry, Mapping) and entry.get("name") == name]


def _bare(index: str) -> str:
    return index[1:-1] if len(index) > 1 and index[0] == index[-1] and index[0] in "'\"" else index


def _label(entry: Any, entries: Any) -> str:
    """The name of an entry as it is written in brackets; empty where it has none that only it has."""
    name = entry.get("name") if isinstance(entry, Mapping) else None
    if not isinstance(name, str) or not name or len(_called(name, entries)) != 1:
        return ""
    if place(name) is None and not set(name) & set("[]'\"="):
        return name
    return next((f"{mark}{name}{mark}" for mark in "\"'" if mark not in name), "")


def unknown(field: str, known: Mapping[str, str], table: Mapping[str, Any]) -> Fault | None:
    """A fault with the nearest paths that exist, or None if there is such a place."""
    way = numbered(field, table)
    if way in known:
        return None
    near = _entries(way, table) or [named(path, table) for path in nearest(way, known)]
    return Fault(field, "no such place in the study", " or ".join(near) if near else "a path such as gear.leg.length")


def nearest(field: str, known: Mapping[str, str]) -> list[str]:
    """Paths that end in the same name, then those that look alike, capitals or not."""
    field = field.lower()
    small = {path.lower(): path for path in known}
    last = field.rpartition(".")[2].partition("[")[0]
    same = [path for path in small if path.rpartition(".")[2] == last]
    alike = difflib.get_close_matches(field, list(small), n=NEAR, cutoff=0.6)
    ranked = difflib.get_close_matches(field, same, n=NEAR, cutoff=0.0)
    return [small[path] for path in dict.fromkeys([*ranked, *alike])][:NEAR]


def _entries(field: str, table: Mapping[str, Any]) -> list[str]:
    """Where a path names an entry that a list does not have: those it has, the nearest names first."""
    here: Any = table
    said = ""
    for step in _STEP.finditer(field):
        name, index = step.groups()
        if isinstance(here, list) and _inner(here, "", index or "") is None:
            rest, wanted, ends = field[step.end() :], name or _bare(index), list(dict.fromkeys((0, len(here) - 1)))
            labels = {entry["name"]: label for entry in here if (label := _label(entry, here))}
            if here and (place(wanted) is not None or not labels):
                return [" to ".join(f"{said}[{i}]{rest}" for i in ends)]
            near = difflib.get_close_matches(wanted, list(labels), n=NEAR, cutoff=0.0)
            return [f"{said}[{labels[n]}]{rest}" for n in ([wanted] if wanted in labels else near)]
        said += f"[{index}]" if not name else f".{name}" if said else name
        here = _inner(here, name or "", index or "")
    return []


def _below(path: str, models: Sequence[type[BaseModel]], table: Any) -> Iterator[tuple[str, str]]:
    """Everything below a table; ``models``: what it may be."""
    given = table if isinstance(table, Mapping) else {}
    fields = {f.alias or n: f for model in models for n, f in model.model_fields.items()}
    for key in dict.fromkeys([*fields, *given]):
        here = f"{path}.{key}" if path else str(key)
        field = fields.get(key)
        yield here, kind_of(field)
        yield from _inside(here, field, given.get(key))


def _inside(path: str, field: FieldInfo | None, value: Any) -> Iterator[tuple[str, str]]:
    models = list(models_in(field.annotation)) if field is not None else []
    if isinstance(value, list):
        for i, entry in enumerate(value):
            yield f"{path}[{i}]", kind_of(field)
            yield from _inside(f"{path}[{i}]", field, entry)
    elif isinstance(value, Mapping) or (models and value is None and not _many(field)):
        yield from _below(path, models, value)


def _many(field: FieldInfo | None) -> bool:
    return field is not None and "tuple[" in str(field.annotation)


def kind_of(field: FieldInfo | None) -> str:
    """Of the field's number, outside in."""
    if field is None:
        return ""
    totals = [m.model_fields["total"] for m in models_in(field.annotation) if "total" in m.model_fields]
    places = [(f.annotation, f.metadata) for f in (field, *totals)]  # a number in place of such a table is its total
    return next((k for place in places for k in _kinds(*place)), "")


def _kinds(annotation: Any, metadata: Any) -> Iterator[str]:
    yield from (item.name for item in metadata if isinstance(item, Kind))
    for inner in getattr(annotation, "__args__", ()):
        if not (isinstance(inner, type) and issubclass(inner, BaseModel | BaseMetadata)):
            yield from _kinds(inner, getattr(inner, "__metadata__", ()))
