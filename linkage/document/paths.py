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
from linkage.document.ways import place
from linkage.errors import Fault

NEAR = 3
"""Paths named when one is not there."""


def paths(table: Mapping[str, Any]) -> dict[str, str]:
    """Path -> kind of number (``length``, ``angle``, ...; empty where it has no unit or is no number), of every place
    that a study has or might have: those of the plain ``table`` and those that the models know beside them."""
    return dict(_below("", [Study], table))


def numbered(field: str, table: Mapping[str, Any]) -> str:
    """A path with names in its brackets, such as ``bay.item[oil cooler].required``, with places in the list instead."""
    here: Any = table
    for name, index in re.findall(r"([^.\[\]]+)|\[([^\]]*)\]", field):
        if isinstance(here, list) and index and place(index) is None:
            named = [i for i, entry in enumerate(here) if isinstance(entry, Mapping) and entry.get("name") == index]
            if len(named) != 1:
                return field
            field, index = field.replace(f"[{index}]", f"[{named[0]}]", 1), str(named[0])
        at = place(index)
        if isinstance(here, list) and at is not None and at < len(here):
            here = here[at]
        else:
            here = here.get(name) if isinstance(here, Mapping) else None
    return field


def unknown(field: str, known: Mapping[str, str], table: Mapping[str, Any]) -> Fault | None:
    """A fault with the nearest paths that exist, or None if there is such a place."""
    if field in known:
        return None
    named = re.match(r"(.+?)\[[^\]\d][^\]]*\]", field)
    near = _names(named[1], table) if named else nearest(field, known)
    return Fault(field, "no such place in the study", " or ".join(near) if near else "a path such as gear.leg.length")


def nearest(field: str, known: Mapping[str, str]) -> list[str]:
    """Paths that end in the same name, then those that look alike."""
    last = field.rpartition(".")[2].partition("[")[0]
    same = [path for path in known if path.rpartition(".")[2] == last]
    alike = difflib.get_close_matches(field, list(known), n=NEAR, cutoff=0.6)
    ranked = difflib.get_close_matches(field, same, n=NEAR, cutoff=0.0)
    return list(dict.fromkeys([*ranked, *alike]))[:NEAR]


def _names(field: str, table: Mapping[str, Any]) -> list[str]:
    """Entries of a list of the study by their names."""
    here: Any = table
    for step in field.split("."):
        here = here.get(step) if isinstance(here, Mapping) else None
    entries = here if isinstance(here, list) else []
    return [f"{field}[{entry['name']}]" for entry in entries if isinstance(entry, Mapping) and "name" in entry]


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
