"""The document's loading as the loading package takes it, faults named by the document's own fields."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from linkage.document.loading import LoadingEntry, Weighing
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault
from linkage.loading.choices import choices
from linkage.loading.model import LoadItem, LoadModel
from linkage.loading.weighing import Correction, Reading, Weighed, weigh

_NAMES = {
    "loading.mass_cap_kg": "loading.max_mass",
    "loading.zero_fuel_cap_kg": "loading.max_zero_fuel_mass",
    "loading.min_mass_kg": "loading.min_mass",
    "loading.items": "loading.item",
    "weighing.readings": "loading.weighing.reading",
    "weighing.corrections": "loading.weighing.correction",
    "mass_cap_kg": "max_mass",
    "zero_fuel_cap_kg": "max_zero_fuel_mass",
    "min_mass_kg": "min_mass",
}
"""Name inside the package -> field of the document, longest first where one holds another."""


def weighed(study: Study) -> Weighed | None:
    """Empty mass and CG from the weighing record, None if the study gives them as numbers. ``DocumentError``."""
    record = study.loading.weighing
    if record is None:
        return None
    with _document_fields():
        return weigh(
            [
                Reading(r.name, r.reading, r.station, r.per, r.legs, r.wheels_per_leg, r.tare, r.bl)
                for r in record.reading
            ],
            record.datum_fs,
            [Correction(c.name, c.mass, c.station, c.bl) for c in record.correction],
            record.level,
        )


def load_model(study: Study) -> LoadModel:
    """Empty aircraft, given or weighed, with its items and caps.

    ``DocumentError`` if nothing was weighed, or if no loading meets all limits (saying which conflict).
    """
    entry = study.loading
    mass, fs, wl, bl = _empty(entry, weighed(study))
    items = tuple(
        LoadItem(i.name, i.min, i.max, i.at[0], i.at[1], i.bl, i.optional, i.group, i.kind) for i in entry.item
    )
    with _document_fields():
        model = LoadModel(mass, fs, wl, items, entry.max_mass, entry.max_zero_fuel_mass, entry.min_mass, bl)
        choices(model)
    return model


def _empty(entry: LoadingEntry, scales: Weighed | None) -> tuple[float, float, float, float]:
    record: Weighing | None = entry.weighing
    if scales is not None and record is not None:
        return scales.mass_kg, scales.fs_mm, record.cg_wl, scales.bl_mm
    if entry.empty is None:
        raise ValueError("the document gives empty or weighing, one of them")
    return entry.empty.mass, entry.empty.at[0], entry.empty.at[1], entry.empty.bl


@contextmanager
def _document_fields() -> Iterator[None]:
    try:
        yield
    except DocumentError as err:
        faults = [Fault(_document(f.field), _document(f.found), _document(f.expected)) for f in err.faults]
        raise DocumentError(faults, err.source) from err


def _document(text: str) -> str:
    return re.sub("|".join(map(re.escape, _NAMES)), lambda m: _NAMES[m.group()], text)
