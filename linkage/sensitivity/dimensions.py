"""Which numbers of a study are dimensions here, and what its own tolerances say about each."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from linkage.document.numbers import Number, numbers
from linkage.document.study import Study
from linkage.document.variants import value_at

UNDER = (
    "gear",
    "airframe.main_gear.contact",
    "loading",
    "tyre.static_loaded_radius",
    "strut.static_compression",
    "bay",
)
ASIDE = re.compile(
    r"\.(bearings|stations|tow_fitting|\w+_section|butt_line|friction|emergency|lock|up_stop|screw|hydraulic|hand|rated"
    r"|max_force|gyration|dead_length|cycle_time|ramp|travel_left_at_lock|self_gap|lock_spring|tracks?|burn\w*|weighing|bl|slices)\b"
    r"|^bay\..*(outline|centre|stay_above|required|engine)|^gear\.spring.*(force|temperature|friction)"
)
"""Numbers that none of the results depends on, and places of bay items, which are shifted as a whole."""


@dataclass(frozen=True)
class Dimension:
    """``factor``: inside units (mm, kg, N, deg) in one of the study's ``unit``. ``tolerance``: half range that the
    study states, inside units, under ``stated``; None where it states none for such a dimension."""

    path: str | None
    """Where the study holds it; None for the shift of a bay item."""
    name: str
    """The path with names in its brackets, as ``--set`` takes it too."""
    kind: str
    unit: str
    factor: float
    value: float
    tolerance: float | None
    stated: str
    item: int | None = None
    shift: complex = 0j
    """Of a bay item as a whole, by one mm."""


def dimensions(study: Study) -> tuple[Dimension, ...]:
    """Every continuous number that may move one of the results, in the document's order, and the shifts of bay items
    in FS and WL."""
    return (*(_dimension(study, n) for n in numbers(study, UNDER) if not ASIDE.search(n.path)), *_shifts(study))


def _dimension(study: Study, n: Number) -> Dimension:
    stated, size = _tolerance(study, n)
    return Dimension(n.path, n.label, n.kind, n.unit, n.factor, n.value, size, stated)


def _shifts(study: Study) -> Iterator[Dimension]:
    unit, factor = study.units.length, study.units.factor("length")
    for i, item in enumerate(study.bay.item):
        for axis, shift in (("FS", 1.0 + 0j), ("WL", 1j)):
            name = f"bay.item[{item.name}] shifted in {axis}"
            yield Dimension(
                None, name, "length", unit, factor, 0.0, study.tolerances.bay_item, "tolerances.bay_item", i, shift
            )


LINKS = re.compile(r"(upper_link|lower_link|brace\.length|\.radius|lug\.(along|offset)|pin\.(along|offset))$")
STOPS = re.compile(r"over_centre$")
AXLE = re.compile(r"gear\.leg\.(length|axle_offset)$")
SIZES = re.compile(r"gear\.part\[\d+\]\.(radius|width)$")
PLACES = re.compile(r"(trunnion|upper_pin|root|knee|pivot|hinge|track_to)\[\d\]$")


def _tolerance(study: Study, n: Number) -> tuple[str, float | None]:
    """Name and half range of what the study states for it."""
    said = study.tolerances
    if n.path == "loading.empty.mass":
        return "tolerances.empty_mass", said.empty_mass
    if n.path == "loading.empty.at[0]":
        return "tolerances.empty_cg", said.empty_cg
    if SIZES.search(n.path):  # stands out on both sides
        return "tolerances.part_size", said.part_size * (2.0 if n.path.endswith("width") else 1.0)
    if AXLE.search(n.path):
        return "tolerances.axle", said.axle
    if n.path.startswith("gear.") and not n.path.startswith(("gear.mass", "gear.part")):
        if STOPS.search(n.path):
            return "tolerances.knee_stop", said.knee_stop
        if n.path.endswith("pin.angle"):
            radius = float(value_at(study, n.path.replace("angle", "radius")) or math.inf)
            return "tolerances.link_length", math.degrees(said.link_length / radius)
        if LINKS.search(n.path):
            return "tolerances.link_length", said.link_length
        if PLACES.search(n.path):
            return "tolerances.pin_position", said.pin_position
    return "", None
