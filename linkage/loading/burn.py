"""How a loading moves as the fuel burns off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linkage.errors import DocumentError, Fault
from linkage.loading.model import LoadCase, LoadModel


@dataclass(frozen=True)
class BurnPath:
    """Corners of the path, by falling fuel; mass and moment run straight between them, one tank at a time.

    Mass in kg and moment in kg mm about FS 0 of a corner: ``case.mass_kg``, ``case.moment_kgmm``.
    """

    cases: tuple[LoadCase, ...]


def burn_path(model: LoadModel, case: LoadCase, order: Sequence[str] = ()) -> BurnPath:
    """From ``case`` down to the least fuel (``min_kg`` of each tank), emptying the tanks in ``order``.

    Tanks not named follow in model order; tanks that are left out stay out. ``DocumentError`` for a name in
    ``order`` that is no fuel.
    """
    tanks = {item.name: item for item in model.items if item.kind == "fuel"}
    wrong = [
        Fault(f"burn order {name}", "not an item of kind fuel", ", ".join(tanks)) for name in order if name not in tanks
    ]
    if wrong:
        raise DocumentError(wrong, "loading")
    masses = dict(case.masses)
    path = [case]
    for name in dict.fromkeys([*order, *tanks]):
        if masses[name] > tanks[name].min_kg:
            masses[name] = tanks[name].min_kg
            path.append(model.case_of(masses))
    return BurnPath(tuple(path))


def topped_up(model: LoadModel, case: LoadCase) -> LoadCase:
    """The same loading with its tanks filled in model order, as far as the mass cap allows.

    A tank that was left out stays out.
    """
    masses = dict(case.masses)
    left = max(model.mass_cap_kg - case.mass_kg, 0.0)
    for item in model.items:
        if item.kind == "fuel" and (masses[item.name] > 0.0 or not item.optional):
            step = min(max(item.max_kg - masses[item.name], 0.0), left)
            masses[item.name] += step
            left -= step
    return model.case_of(masses)
