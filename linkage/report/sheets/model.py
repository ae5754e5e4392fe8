"""A worked calculation: the relation as an expression, the numbers put in, the result, and the solver's own number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import sympy

from linkage.checks import Finding

AGREE = 1e-9
"""Relative difference up to which two roads in double precision count as one number."""


@dataclass(frozen=True)
class Given:
    """A number put in: its value in ``unit``, and where it comes from."""

    value: float
    unit: str
    meaning: str


@dataclass(frozen=True)
class Sheet:
    """``relation`` is written in the symbols of ``given``; ``solver`` is what the solver found, in ``unit`` as well."""

    title: str
    source: str
    symbol: str
    relation: Any
    given: Mapping[str, Given]
    unit: str
    solver: float

    @cached_property
    def result(self) -> float:
        """The relation evaluated from the symbols alone, to 30 digits and then rounded."""
        values = {sympy.Symbol(name, real=True): sympy.Float(g.value, 30) for name, g in self.given.items()}
        return float(self.relation.evalf(30, subs=values))

    @property
    def difference(self) -> float:
        return self.result - self.solver

    @property
    def agrees(self) -> bool:
        return abs(self.difference) <= AGREE * max(abs(self.result), abs(self.solver), 1e-3)

    def formula(self) -> str:
        """The relation as LaTeX."""
        return f"{sympy.latex(sympy.Symbol(self.symbol))} = {sympy.latex(self.relation)}"

    def text(self) -> str:
        """The relation as plain text."""
        return f"{self.symbol} = {self.relation}"

    def numbers(self) -> str:
        """The relation with the numbers in place of the symbols, seven significant digits, unevaluated."""
        shown = {sympy.Symbol(n, real=True): sympy.Symbol(_short(g.value)) for n, g in self.given.items()}
        return f"{self.symbol} = {self.relation.xreplace(shown)}"


def symbols(given: Mapping[str, Given]) -> dict[str, Any]:
    """One real symbol for each given name."""
    return {name: sympy.Symbol(name, real=True) for name in given}


def disagreements(sheets: tuple[Sheet, ...]) -> tuple[Finding, ...]:
    """A finding for every sheet whose result is not the solver's."""
    return tuple(
        Finding(
            "sheet",
            f"worked sheet: {s.title}",
            s.result,
            f"= {s.solver:.9g}",
            -abs(s.difference),
            s.unit,
            "",
            "hand calculation and solver disagree",
            s.source,
        )
        for s in sheets
        if not s.agrees
    )


def _short(value: float) -> str:
    text = f"{value:.7g}"
    return f"({text})" if value < 0 else text
