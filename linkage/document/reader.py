"""Read a study file: all its faults at once, each with path, value and what was expected."""

from __future__ import annotations

import difflib
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from linkage.document.faults import faults
from linkage.document.quantities import Units, models_in
from linkage.document.study import Study
from linkage.document.ways import put, told
from linkage.errors import DocumentError, Fault

LARGEST = 4_000_000
"""bytes; a study is text written by a person."""

ENCODING = "utf-8-sig"
"""UTF-8; some editors begin a file with a mark that says so."""


@dataclass(frozen=True)
class Source:
    """A study as read: where from, the SHA-256 of the file's bytes, its text, and the validated document. ``changes``:
    what was changed on the way, each as ``path=value``; with any, file and document are not the same."""

    path: Path
    sha256: str
    text: str
    study: Study
    changes: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Of the study, with what was changed."""
        return self.study.title + (f", with {', '.join(self.changes)}" if self.changes else "")

    @property
    def changed(self) -> str:
        """The changes in words, empty without any."""
        return f", changed by {', '.join(self.changes)}" if self.changes else ""


def read(path: Path | str, changes: Mapping[str, Any] | None = None) -> Source:
    """Read and check a study file. ``changes`` maps dotted paths to new values; a place in a list may be named, as
    ``bay.item[oil cooler].required``. Raises ``DocumentError``."""
    path = Path(path)
    content, table = plain(path, changes)
    text, study = content.decode(ENCODING), parse(table, path.name)
    return Source(path, sha256(content).hexdigest(), text, study, told(changes or {}))


def plain(path: Path, changes: Mapping[str, Any] | None = None) -> tuple[bytes, dict[str, Any]]:
    """A study file as it is on disk, and as a plain table with ``changes``, not checked any further."""
    content = bytes_of(path)
    try:
        table = tomllib.loads(content.decode(ENCODING))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as err:
        raise DocumentError([Fault(str(path), f"not readable as TOML: {err}", "a TOML document")], path.name) from err
    if changes:
        _change(table, changes, path.name)
    return content, table


def units_of(table: Mapping[str, Any], source: str = "study") -> Units:
    """What a bare number in a plain table means. Raises ``DocumentError``."""
    try:
        return Units.model_validate(table.get("units", {}))
    except ValidationError as err:
        raise DocumentError(translated(err, ("units",)), source) from err


def parse(table: Mapping[str, Any], source: str = "study") -> Study:
    """Validate a plain table. Raises ``DocumentError`` with every fault found."""
    units = units_of(table, source)
    try:
        study = Study.model_validate(table, context={"units": units})
    except ValidationError as err:
        raise DocumentError(translated(err), source) from err
    found = faults(study)
    if found:
        raise DocumentError(found, source)
    return study


def schema() -> dict[str, Any]:
    """JSON Schema of the study document."""
    from linkage.document.meanings import explained

    return explained(Study.model_json_schema(by_alias=True), Study)


def _change(table: dict[str, Any], changes: Mapping[str, Any], source: str) -> None:
    """Set values at paths that a study has. Raises ``DocumentError`` with every path that is none."""
    from linkage.document.paths import numbered, paths, unknown

    known, wrong = paths(table), []
    for field, value in changes.items():
        place = numbered(field, table)
        fault = unknown(field, known, table)
        if fault is not None:
            wrong.append(fault)
            continue
        put(table, place, value)
        if isinstance(value, dict | list):  # what is below it now
            known = paths(table)
    if wrong:
        raise DocumentError(wrong, source)


def bytes_of(path: Path) -> bytes:
    """Raises ``DocumentError`` for what cannot be a file of text."""
    expected = "a study file in TOML"
    if path.is_dir():
        raise DocumentError(
            [Fault(str(path), "is a directory", f"{expected}, such as {path / 'study.toml'}")], path.name
        )
    try:
        if path.stat().st_size > LARGEST:
            raise DocumentError(
                [Fault(str(path), f"has {path.stat().st_size} bytes", f"at most {LARGEST} bytes")], path.name
            )
        return path.read_bytes()
    except OSError as err:
        raise DocumentError([Fault(str(path), f"cannot be read ({err.strerror})", expected)], path.name) from err


def translated(err: ValidationError, prefix: tuple[str, ...] = ()) -> list[Fault]:
    """The validator's errors as faults of the study. A list that is too short only for the entries of it that are
    wrong themselves is no fault of its own."""
    found = err.errors(include_url=False)
    return [_fault(e, prefix) for e in found if not (e["type"] == "too_short" and _long_enough(e))]


def _long_enough(error: Any) -> bool:
    return isinstance(error["input"], list) and len(error["input"]) >= error["ctx"]["min_length"]


PLAINLY = {
    "model_type": "a table",
    "dict_type": "a table",
    "list_type": "a list",
    "tuple_type": "a list",
    "string_type": "a text",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
}
"""Kind of error -> what was expected, where the validator says it in words of its own."""


def _fault(error: Any, prefix: tuple[str, ...]) -> Fault:
    loc = prefix + tuple(error["loc"])
    field = _dotted(loc) or "study"
    match error["type"]:
        case "extra_forbidden":
            return Fault(field, "unknown key", _nearest(str(loc[-1]), _known_keys(loc[:-1])))
        case "missing":
            return Fault(field, "is missing", "a value")
        case "too_long":
            return Fault(field, _shown(error["input"]), f"at most {error['ctx']['max_length']} entries")
        case "too_short":
            return Fault(field, _shown(error["input"]), f"at least {error['ctx']['min_length']} entries")
        case "value_error":
            found, _, expected = str(error["ctx"]["error"]).rpartition("expected ")
            found = found.strip().rstrip(";")
            if isinstance(error["input"], dict):  # a check of a whole table names the key it is about first
                key, _, rest = found.partition(" ")
                key = key.rstrip(":")
                field, found = (f"{field}.{key}", rest) if key in error["input"] else (field, found)
            else:
                found = f"{_shown(error['input'])} {found}"
            return Fault(field, found.strip() or _shown(error["input"]), expected)
        case kind if kind in PLAINLY:
            return Fault(field, _shown(error["input"]), PLAINLY[kind])
        case _:
            return Fault(
                field,
                _shown(error["input"]),
                error["msg"].replace("Input should be", "").replace("tuple", "list").replace("Tuple", "list").strip(),
            )


def _shown(value: Any) -> str:
    text = value if isinstance(value, str) else json.dumps(value, default=str, ensure_ascii=False)
    return repr(text) if isinstance(value, str) else (text if len(text) <= 80 else text[:77] + "...")


def _dotted(loc: Sequence[Any]) -> str:
    text = ""
    for step in loc:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def _known_keys(loc: Sequence[Any]) -> list[str]:
    """Keys that the model at ``loc`` knows, found by walking the field annotations."""
    model: type[BaseModel] | None = Study
    for step in loc:
        if isinstance(step, int) or model is None:
            continue
        named = {f.alias or n: f for n, f in model.model_fields.items()}
        model = next(models_in(named[step].annotation), None) if step in named else None
    return [f.alias or n for n, f in model.model_fields.items()] if model else []


def _nearest(key: str, known: Sequence[str]) -> str:
    close = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    return f"{close[0]!r}?" if close else f"one of {', '.join(known)}"
