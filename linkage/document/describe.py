"""docs/fields.md, written from the document's own models: every field, what it takes, what it is without it.

Run ``python -m linkage.document.describe > docs/fields.md`` after a change; a test compares.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from functools import cache
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from linkage.document.meanings import meanings
from linkage.document.quantities import Entry, Place, models_in
from linkage.document.study import Study

HEAD = """# Fields of a study

Written from the models by `python -m linkage.document.describe`. A study is a TOML file; `noseleg starter DIR` writes
one with comments. A length, mass, force or speed is a number in the unit declared in `[units]`, or a text with its own
unit such as `"14.2 in"`. Unknown keys are faults.
"""


def fields_text() -> str:
    """The whole page."""
    return HEAD + "".join(_table("study", Study, set()))


def _table(path: str, model: type[Entry], seen: set[type[Entry]]) -> Iterator[str]:
    seen.add(model)
    yield f"\n## {'the file' if path == 'study' else f'[{path}]'}\n"
    if model.__doc__:
        yield f"{inspect.cleandoc(model.__doc__)}\n"
    yield "\n| key | takes | default | meaning |\n|---|---|---|---|\n"
    below: list[tuple[str, type[Entry]]] = []
    told = meanings(model)
    for name, field in model.model_fields.items():
        key = field.alias or name
        inner = next(models_in(field.annotation), None)
        meaning = " ".join(told.get(name, "").split())
        yield f"| {key} | {_takes(model, key, inner)} | {_default(field)} | {meaning} |\n"
        if inner is not None and inner is not Place and inner not in seen:
            below.append((key if path == "study" else f"{path}.{key}", inner))
            seen.add(inner)
    for deeper, inner in below:
        yield from _table(deeper, inner, seen)


def _takes(model: type[Entry], key: str, inner: type[Entry] | None) -> str:
    """What the JSON Schema says about a field, in a few words."""
    if inner is Place:
        return "place"
    return _words(_properties(model)[key], inner)


@cache
def _properties(model: type[Entry]) -> dict[str, Any]:
    schema = model.model_json_schema(by_alias=True)
    found: dict[str, Any] = schema.get("properties") or schema["$defs"][model.__name__]["properties"]
    return found


def _words(entry: dict[str, Any], inner: type[Entry] | None) -> str:
    if "enum" in entry:
        return ", ".join(f"`{v}`" for v in entry["enum"])
    text = str(entry.get("description", ""))
    if "a number in the unit declared" in text:
        return text.split(":")[0].removeprefix("a ")
    if "$ref" in entry or "allOf" in entry:
        return "table"
    if entry.get("type") == "array":
        return "tables, one `[[...]]` each" if inner is not None else "list"
    if "anyOf" in entry:
        kinds = [_words(e, inner) for e in entry["anyOf"] if e.get("type") != "null"]
        return " or ".join(dict.fromkeys(kinds))
    return str(entry.get("const", entry.get("type", "")))


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    value = field.default
    if isinstance(value, BaseModel):
        return "as below"
    return "" if value in (None, "", ()) else f"{value:g}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    print(fields_text(), end="")
