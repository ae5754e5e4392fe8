"""Ground conditions as data: how the nose-wheel load is formed, in which direction it acts, and where.

Sets of conditions are files of the same tables in ``condition_sets``; a study names one of them and adds its own.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from linkage.document.quantities import Entry, Factor, Mass, PositiveFactor, PositiveMass, Units

Fraction = Annotated[float, Field(ge=0, le=1)]
Sideways = Annotated[float, Field(ge=-2, le=2)]

BASES: dict[str, tuple[str, ...]] = {
    "static": ("factor",),
    "dynamic": ("factor", "forward_g"),
    "braked roll": ("n", "mu"),
    "level landing": ("n", "lift", "k"),
}
"""What the vertical load is formed from -> the numbers it needs (docs/theory-loads.md has the relations)."""
NUMBERS = ("factor", "forward_g", "n", "mu", "lift", "k")


class ConditionEntry(Entry):
    """One ground condition. ``basis``: how the vertical load V on the nose wheel is formed.

    "static": ``factor`` x static load. "dynamic": ``factor`` x static load under 1 g down and ``forward_g`` forward at
    the CG. "braked roll": ``n`` W on the wheels, mains braked with ``mu``. "level landing": three points, (``n`` -
    ``lift``) W, reactions inclined by ``k`` n/(n - lift).
    """

    name: Annotated[str, Field(min_length=1)]
    rule: str
    edition: str = ""
    basis: Literal["static", "dynamic", "braked roll", "level landing"]
    factor: PositiveFactor | None = None
    forward_g: Factor | None = None
    n: PositiveFactor | None = None
    mu: Annotated[float, Field(ge=0, le=1.5)] | None = None
    lift: Factor | None = None
    """Lift of the wing as a part of the weight."""
    k: Annotated[float, Field(ge=0, le=1)] | tuple[tuple[Mass, Annotated[float, Field(ge=0, le=1)]], ...] | None = None
    """One number, or pairs [mass, K], straight between them and level beyond, read at the greatest mass."""
    fore_aft: Sideways | None = None
    """Horizontal load, aft +, as a part of ``of``. Left out: what the basis says (level landing), else 0."""
    side: Sideways = 0.0
    """Side load, right +, as a part of ``of``."""
    of: Literal["vertical", "weight"] = "vertical"
    at: Literal["axle", "contact", "tow fitting"] = "axle"
    """Where the horizontal load acts; the vertical load passes through contact and axle."""
    attitude: str = "static"
    """Ground state of strut and tyre that fixes the attitude."""
    strut: Annotated[tuple[Fraction, ...], Field(min_length=1)] | None = None
    """Strut compressions at which the gear is worked out, parts of the stroke. Left out: as in ``attitude``."""
    level: Literal["limit", "ultimate"] = "limit"
    """What the numbers above give."""
    loads: Literal["gear", "tow fitting"] = "gear"
    """The whole gear, or the tow fitting and its immediate structure only."""
    max_mass: PositiveMass | None = None
    """Greatest mass at which the condition holds, such as the landing mass; left out: the greatest of the study."""

    @model_validator(mode="after")
    def _numbers(self) -> ConditionEntry:
        needed = BASES[self.basis]
        for name in NUMBERS:
            given = getattr(self, name) is not None
            if given and name not in needed:
                raise ValueError(f"{name} is no number of basis {self.basis!r}; expected {' and '.join(needed)}")
            if not given and name in needed:
                raise ValueError(f"basis {self.basis!r} without {name}; expected {' and '.join(needed)}")
        return self

    @model_validator(mode="after")
    def _sense(self) -> ConditionEntry:
        if self.basis == "level landing" and self.n is not None and self.lift is not None and self.lift >= self.n:
            raise ValueError(f"lift {self.lift:g} leaves nothing of n = {self.n:g}; expected below {self.n:g}")
        if isinstance(self.k, tuple):
            masses = [mass for mass, _ in self.k]
            if not masses or any(b <= a for a, b in pairwise(masses)):
                raise ValueError(f"k masses {masses}; expected each greater than the one before")
        if self.basis == "braked roll" and self.of == "weight" and (self.fore_aft or self.side):
            raise ValueError("of 'weight' does not go with basis 'braked roll'; expected 'vertical'")
        if self.loads == "tow fitting" and self.at != "tow fitting":
            raise ValueError(f"at {self.at!r} does not load a tow fitting; expected 'tow fitting'")
        return self


class LeftOut(Entry):
    """A rule of a set that is no condition here, and why."""

    rule: str
    why: str


class ConditionSet(Entry):
    """A file of ``condition_sets``: the conditions of one rule book that load a nose wheel."""

    title: str
    status: str
    """Read in a copy of the rule, or from memory."""
    condition: tuple[ConditionEntry, ...]
    left_out: tuple[LeftOut, ...] = ()


class ConditionsEntry(Entry):
    """Ground conditions: a set by name, and own ones; an own condition replaces one of the same name in the set."""

    set: str = "cfr23-2015"
    """"cfr23-2015" (14 CFR Part 23 before amendment 64), "cs-vla" (from memory), or "none"."""
    item: tuple[ConditionEntry, ...] = ()
    safety_factor: Annotated[float, Field(ge=1, le=50)] = 1.5
    """Ultimate load = this x limit load."""
    safety_source: str = "14 CFR 23.303, 2015 edition"

    @model_validator(mode="after")
    def _known(self) -> ConditionsEntry:
        known = [*set_names(), "none"]
        if self.set not in known:
            raise ValueError(f"set {self.set!r} is not known; expected one of {', '.join(known)}")
        names = [c.name for c in self.item]
        twice = sorted({n for n in names if names.count(n) > 1})
        if twice:
            raise ValueError(f"item: name {twice[0]!r} stands twice; expected a name of its own for each condition")
        return self

    @property
    def chosen_set(self) -> ConditionSet:
        return condition_set(self.set) if self.set != "none" else ConditionSet(title="none", status="", condition=())

    @property
    def chosen(self) -> tuple[ConditionEntry, ...]:
        """The set with the study's own conditions in place of those of the same name, the rest of them after it."""
        own = {c.name: c for c in self.item}
        taken = [own.pop(c.name, c) for c in self.chosen_set.condition]
        return (*taken, *own.values())


def set_names() -> tuple[str, ...]:
    """Names of the sets that come with the package."""
    folder = files("linkage.document") / "condition_sets"
    return tuple(sorted(p.name.removesuffix(".toml") for p in folder.iterdir() if p.name.endswith(".toml")))


@cache
def condition_set(name: str) -> ConditionSet:
    """A set of the package. Its masses carry their units."""
    text = (files("linkage.document") / "condition_sets" / f"{name}.toml").read_text(encoding="utf-8")
    table: dict[str, Any] = tomllib.loads(text)
    return ConditionSet.model_validate(table, context={"units": Units()})
