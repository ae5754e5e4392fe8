"""Families: a study whose numbers are arrays is as many designs at once."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from pydantic import BaseModel

from linkage.document.study import Study
from linkage.document.ways import steps
from linkage.errors import DocumentError, Fault


def varied(study: Study, variants: Mapping[str, Any]) -> Study:
    """The study with other numbers, unchecked: a family where they are arrays of one shape (designs,).

    ``variants`` maps dotted paths, such as ``gear.trunnion[0]`` or ``gear.brace.lug.along``, to values in the units in
    which the document holds them once read: mm, kg, N, m/s, deg. Nothing is validated: what a reader would refuse
    shows in the results. Raises ``DocumentError`` for a path that the study does not have.
    """
    for field, value in variants.items():
        study = _put(study, steps(field), value, field)
    return study


def value_at(study: Study, field: str) -> Any:
    """The number that a study holds at a dotted path. Raises ``DocumentError`` for a path that it does not have."""
    here: Any = study
    for step in steps(field):
        here = _part(here, step, field)
    return here


def _put(here: Any, way: Sequence[str | int], value: Any, field: str) -> Any:
    if not way:
        return value
    step, *rest = way
    new = _put(_part(here, step, field), rest, value, field)
    if isinstance(here, tuple):
        return (*here[: int(step)], new, *here[int(step) + 1 :])
    return here.model_copy(update={_attribute(here, step): new})


def _part(here: Any, step: str | int, field: str) -> Any:
    if isinstance(here, tuple) and isinstance(step, int) and 0 <= step < len(here):
        return here[step]
    name = _attribute(here, step) if isinstance(here, BaseModel) else None
    if name is None:
        known = [f.alias or n for n, f in type(here).model_fields.items()] if isinstance(here, BaseModel) else []
        close = difflib.get_close_matches(str(step), known, n=1)
        raise DocumentError([Fault(field, "no such place in the study", close[0] if close else "a path in the study")])
    return getattr(here, name)


def _attribute(here: BaseModel, step: str | int) -> str | None:
    """Attribute of a table under the name that the document uses for it."""
    return _attributes(type(here)).get(str(step))


@cache
def _attributes(kind: type[BaseModel]) -> dict[str, str]:
    return {field.alias or name: name for name, field in kind.model_fields.items()}
