"""Ways into a table of a study, such as ``gear.brace.upper_pin`` or ``bay.item[3].required``."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from pydantic import BaseModel

from linkage.errors import DocumentError, Fault

INDEX = r"""(?:"[^"]*"|'[^']*'|[^\]]*)"""
"""What may stand between brackets of a path: a place, a name, or a name in quotes, which may hold anything else."""
_DIVIDED = re.compile(rf"((?:[^=\[]|\[{INDEX}\])*)=(.*)", re.DOTALL)
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def divided(text: str) -> tuple[str, str, str]:
    """Path, ``=`` and value of ``PATH=VALUE``; what stands in brackets of the path belongs to it."""
    found = _DIVIDED.fullmatch(text)
    return (found[1], "=", found[2]) if found else text.partition("=")


def put(table: dict[str, Any], field: str, value: Any) -> None:
    """Set ``gear.brace.upper_pin`` or ``bay.item[3].required`` in a plain table. Raises ``DocumentError`` if absent."""
    *way, last = steps(field)
    here: Any = table
    try:
        for step in way:
            here = here[step] if isinstance(step, int) else here.setdefault(step, {})
        if isinstance(last, int) and not 0 <= last < len(here):
            raise IndexError(last)
        here[last] = value
    except (IndexError, TypeError, KeyError, AttributeError) as err:
        raise DocumentError(
            [Fault(field, "no such place in the study", "a path such as gear.brace.upper_pin")]
        ) from err


@lru_cache(4096)
def steps(field: str) -> tuple[str | int, ...]:
    """A dotted path such as ``bay.item[3].required`` as names and indices."""
    steps: list[str | int] = []
    for piece in field.split("."):
        name, *indices = piece.replace("]", "").split("[")
        steps += [name, *(i if (k := place(i)) is None else k for i in indices)]
    return tuple(steps)


def place(index: str) -> int | None:
    """A place in a list as it is written, None for what is none: a name, or more than any list has."""
    return int(index) if index.isascii() and index.isdigit() and len(index) < 10 else None


def told(changes: Mapping[str, Any]) -> tuple[str, ...]:
    """Values at paths as they would be written, each as ``path=value``."""
    return tuple(f"{field}={written(value)}" for field, value in changes.items())


def written(value: Any) -> str:
    """A value as TOML has it, in one line."""
    if isinstance(value, dict):
        entries = (f"{k if _BARE.fullmatch(k) else json.dumps(k)} = {written(v)}" for k, v in value.items())
        return f"{{ {', '.join(entries)} }}" if value else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(written(v) for v in value)}]"
    if not isinstance(value, str | bool):
        return str(value)
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")  # TOML refuses it as it is


def opened(value: Any, way: Sequence[str | int]) -> Any:
    """A table as a file has it, opened along a way into it; what lies beside the way is left as it was read."""
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        value = {fields[name].alias or name: getattr(value, name) for name in value.model_fields_set}
    if isinstance(value, list | tuple):
        value = [opened(v, ()) if isinstance(v, list | tuple) else v for v in value]
        inside = bool(way) and isinstance(way[0], int) and 0 <= way[0] < len(value)
    else:
        inside = bool(way) and isinstance(value, dict) and way[0] in value
    if not inside:
        return value
    table = value.copy()
    table[way[0]] = opened(value[way[0]], way[1:])
    return table
