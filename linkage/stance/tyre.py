"""Nose tyre: growth, loaded radius and dynamic rating."""

from __future__ import annotations

from dataclasses import dataclass

from linkage.document.study import Study
from linkage.loading import Extreme, LoadModel, constant_form, extreme
from linkage.loading.forms import Stance2
from linkage.tyres import Grown, grown
from linkage.units import STANDARD_GRAVITY


@dataclass(frozen=True)
class TyreCheck:
    """``grown``: from the growth formula, mm; ``declared``: grown size of the study, where given. ``deflection``:
    static deflection as part of the section height. ``reaction``: greatest nose reaction under 1 g down and
    ``inertia`` g forward at the CG, N, over every loading."""

    grown: Grown
    declared: tuple[float | None, float | None]
    deflection: float
    inertia: float
    reaction: Extreme


def tyre_check(study: Study, model: LoadModel, static: Stance2) -> TyreCheck:
    """Growth and 14 CFR 23.733(a)(2): R = W (b + f h)/L is linear in the masses, so its extreme is exact."""
    tyre, factor = study.tyre, study.limits.tyre_inertia.factor
    force = (static.to_main_form(model) + static.height_form(model) * factor) * (STANDARD_GRAVITY / static.wheelbase_mm)
    return TyreCheck(
        grown(tyre.outside_diameter, tyre.width, tyre.rim_diameter),
        (tyre.grown_diameter, tyre.grown_width),
        (tyre.outside_diameter / 2 - tyre.static_loaded_radius) / ((tyre.outside_diameter - tyre.rim_diameter) / 2),
        factor,
        extreme(model, force, constant_form(model), "max"),
    )
