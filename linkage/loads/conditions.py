"""A condition of the document made ready: its relation between loading and nose load, its direction and its places."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from linkage.document.conditions import ConditionEntry
from linkage.document.study import Study
from linkage.errors import DocumentError, Fault
from linkage.stance import Ground


@dataclass(frozen=True)
class Vertical:
    """Nose load of a loading: V = ``factor`` W (b + ``over`` h)/(L + ``under`` h), and ``lean`` V aft with it.

    W weight, b CG to main contact and h CG height along and square to the ground, L wheelbase. One form for every
    basis; docs/theory-loads.md derives it for each.
    """

    factor: float
    over: float = 0.0
    under: float = 0.0
    lean: float = 0.0

    def load(self, weight: float, b: float, h: float, wheelbase: float) -> float:
        """V in the unit of ``weight``, the lengths in one unit."""
        return self.factor * weight * (b + self.over * h) / (wheelbase + self.under * h)


def inclination(k: float | Sequence[tuple[float, float]], mass: float) -> float:
    """K at a mass in kg: a number, or straight between pairs (mass, K) and level beyond them. 14 CFR 23 App. C."""
    if isinstance(k, float | int):
        return float(k)
    return float(np.interp(mass, [m for m, _ in k], [v for _, v in k]))


def _given(value: float | None) -> float:
    if value is None:
        raise ValueError("the document lets no condition through without the numbers of its basis")
    return value


def _level_landing(c: ConditionEntry, mass: float) -> Vertical:
    """14 CFR 23 Appendix C: b'/d' are measured square to the resultant, which leans by K n/(n - lift)."""
    n, lift = _given(c.n), _given(c.lift)
    lean = inclination(c.k if c.k is not None else 0.0, mass) * n / (n - lift)
    return Vertical(n - lift, lean, 0.0, lean)


RELATIONS: dict[str, Callable[[ConditionEntry, float], Vertical]] = {
    "static": lambda c, mass: Vertical(_given(c.factor)),
    "dynamic": lambda c, mass: Vertical(_given(c.factor), _given(c.forward_g)),
    "braked roll": lambda c, mass: Vertical(_given(c.n), _given(c.mu), _given(c.mu)),
    "level landing": _level_landing,
}
"""Basis of the document -> relation, for a condition and the greatest mass in kg."""


@dataclass(frozen=True)
class Condition:
    """A condition on this gear. ``fore_aft`` and ``side`` are parts of the vertical load, or of the weight if
    ``of_weight``; ``struts``: strut compressions in mm; ``max_mass`` in kg; ``level``: what the numbers give."""

    name: str
    rule: str
    edition: str
    vertical: Vertical
    fore_aft: float
    side: float
    of_weight: bool
    at: str
    ground: Ground
    struts: tuple[float, ...]
    level: str
    tow: bool
    max_mass: float

    @property
    def source(self) -> str:
        return f"{self.edition}, {self.rule}" if self.edition else self.rule


def conditions(study: Study, grounds: Sequence[Ground]) -> tuple[tuple[Condition, ...], tuple[tuple[str, str], ...]]:
    """The study's conditions, and what was left out with the reason. ``DocumentError`` for own conditions on ground
    states or a tow fitting that the study does not have."""
    own = {c.name: i for i, c in enumerate(study.conditions.item)}
    faults = list(_faults(study, grounds, own))
    if faults:
        raise DocumentError(faults)
    left_out = [(rule.rule, rule.why) for rule in study.conditions.chosen_set.left_out]
    made = []
    for entry in study.conditions.chosen:
        if entry.at == "tow fitting" and study.gear.leg.tow_fitting is None:
            left_out.append((f"{entry.name}, {entry.rule}", "the study has no gear.leg.tow_fitting"))
        else:
            made.append(condition(entry, study, next(g for g in grounds if g.state == entry.attitude)))
    return tuple(made), tuple(left_out)


def condition(entry: ConditionEntry, study: Study, ground: Ground) -> Condition:
    """One entry of the document on one ground state."""
    mass = min(entry.max_mass or study.loading.max_mass, study.loading.max_mass)
    vertical = RELATIONS[entry.basis](entry, mass)
    struts = (ground.compression,) if entry.strut is None else tuple(f * study.strut.stroke for f in entry.strut)
    return Condition(
        entry.name,
        entry.rule,
        entry.edition,
        vertical,
        vertical.lean if entry.fore_aft is None else entry.fore_aft,
        entry.side,
        entry.of == "weight",
        entry.at,
        ground,
        tuple(dict.fromkeys(struts)),
        entry.level,
        entry.loads == "tow fitting",
        mass,
    )


def _faults(study: Study, grounds: Sequence[Ground], own: dict[str, int]) -> Iterator[Fault]:
    states = [g.state for g in grounds]
    for entry in study.conditions.chosen:
        where = f"conditions.item[{own[entry.name]}]" if entry.name in own else f"conditions.set, {entry.name}"
        if entry.attitude not in states:
            yield Fault(f"{where}.attitude", repr(entry.attitude), f"one of {', '.join(states)}")
        if entry.name in own and entry.at == "tow fitting" and study.gear.leg.tow_fitting is None:
            yield Fault(f"{where}.at", "the study has no tow fitting", "a gear.leg.tow_fitting as well")
