"""What a field means: the text below it in the model. Read from the source only where it is shown, which is rarely:
pydantic would do it for every model each time the package is imported."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from typing import Any

from linkage.document.quantities import Entry


@cache
def meanings(model: type[Entry]) -> dict[str, str]:
    """Field -> meaning, of a model and those it is made from."""
    found: dict[str, str] = {}
    for base in reversed(model.__mro__):
        if issubclass(base, Entry):
            found.update(_below_fields(base))
    return found


def explained(schema: dict[str, Any], top: type[Entry]) -> dict[str, Any]:
    """The JSON Schema of a model with the meaning of every field as its description."""
    models = {model.__name__: model for model in _all(Entry)}
    for model, table in [(top, schema), *((models[name], t) for name, t in schema["$defs"].items())]:
        names = {field.alias or name: name for name, field in model.model_fields.items()}
        for key, entry in table["properties"].items():
            entry.update({"description": text} if (text := meanings(model).get(names[key])) else {})
    return schema


def _all(model: type[Entry]) -> Iterator[type[Entry]]:
    for below in model.__subclasses__():
        yield below
        yield from _all(below)


def _below_fields(model: type[Entry]) -> Iterator[tuple[str, str]]:
    body = ast.parse(textwrap.dedent(inspect.getsource(model))).body[0]
    assert isinstance(body, ast.ClassDef)
    for line, after in pairwise(body.body):
        match line, after:
            case ast.AnnAssign(target=ast.Name(id=name)), ast.Expr(value=ast.Constant(value=str(text))):
                yield name, inspect.cleandoc(text)
