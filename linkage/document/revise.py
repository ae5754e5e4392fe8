"""A study with other values, refused by the same rules as a file that is read, without reading all of it again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from linkage.document.faults import faults
from linkage.document.quantities import Units
from linkage.document.reader import translated
from linkage.document.study import Study
from linkage.document.variants import value_at
from linkage.document.ways import opened, put, steps
from linkage.errors import DocumentError

INSIDE = Units(area="mm2")
"""Units in which a study holds its numbers."""


def revised(study: Study, changes: Mapping[str, Any]) -> Study:
    """The study with other values at dotted paths, in inside units, as if it had been read so: only the tables that
    change are validated again, then everything that tables have to do with one another. Raises ``DocumentError``."""
    for field in changes:
        value_at(study, field)  # refuses paths that are none
    for name in dict.fromkeys(str(steps(field)[0]) for field in changes):
        here = {field: value for field, value in changes.items() if steps(field)[0] == name}
        study = _validated(study, name, here)
    found = faults(study)
    if found:
        raise DocumentError(found)
    return study


def _validated(study: Study, name: str, changes: Mapping[str, Any]) -> Study:
    """The study with one of its tables read again; the whole, where it is no table by itself. What a file leaves out
    stays left out, so that a table which is there by default alone is not completed by its defaults."""
    table = getattr(study, name)
    whole = not isinstance(table, BaseModel)
    model: BaseModel = study if whole else table
    tables = opened(study, ()) if whole else {name: opened(table, ())}
    for field, value in changes.items():
        tables |= opened(tables, steps(field)[:-1])
        put(tables, field, list(value) if isinstance(value, tuple) else value)
    try:
        made = type(model).model_validate(tables if whole else tables[name], context={"units": INSIDE})
    except ValidationError as err:
        raise DocumentError(translated(err, () if whole else (name,))) from err
    return made if isinstance(made, Study) else study.model_copy(update={name: made})
