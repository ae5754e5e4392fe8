"""Formulas in the typesetter's mathematics: written as they read, nothing unknown let through."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
import sympy

from linkage.report.pack.formula import formula, symbol
from linkage.report.sheets import sheets
from tests.studies import MERROW, OSTREL, solution

x, y, x_m = sympy.symbols("x y x_m", real=True)


@pytest.mark.parametrize(
    ("relation", "text"),
    [
        (x / y, "frac(x, y)"),
        (y - x, "y - x"),
        (-x - y, "-x - y"),
        (-x * y, "-x y"),
        (x * (x + y), "x (x + y)"),
        (x**2, "x^(2)"),
        ((x + y) ** 2, "(x + y)^(2)"),
        (sympy.sqrt(x), "sqrt(x)"),
        (1 / sympy.sqrt(x), "frac(1, sqrt(x))"),
        (sympy.asin(x / y), "arcsin(frac(x, y))"),
        (sympy.pi * x / 180, "frac(pi x, 180)"),
        (sympy.Rational(1, 3), "frac(1, 3)"),
        (sympy.Float(2.5) * x, "2.5 x"),
        (x_m - 90, 'x_upright("m") - 90'),
    ],
)
def test_writes_what_it_says(relation: object, text: str) -> None:
    assert formula("t", relation) == f"t = {text}"


def test_names_of_symbols() -> None:
    assert [symbol(n) for n in ("a", "mu", "L_0", "ab")] == ["a", "mu", 'L_upright("0")', 'upright("ab")']


def test_unknown_functions_are_refused() -> None:
    with pytest.raises(TypeError, match="no formula"):
        formula("t", sympy.gamma(x))


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["merrow", "ostrel"])
def test_every_worked_sheet_has_a_formula(path: object) -> None:
    for sheet in sheets(solution(path).results):  # type: ignore[arg-type]
        assert formula(sheet.symbol, sheet.relation).startswith(symbol(sheet.symbol) + " = ")


READ = {"frac": lambda a, b: a / b, "sqrt": math.sqrt, "sin": math.sin, "cos": math.cos, "pi": math.pi}
READ |= {"arcsin": math.asin, "arccos": math.acos, "arctan": math.atan}


def value(text: str, known: dict[str, Any]) -> float:
    """Read a formula as a reader would: a space between two factors is a product."""
    tokens = re.findall(r"[A-Za-z]\w*|\d+(?:\.\d+)?|[-+^,()]", re.sub(r'_upright\("(\w+)"\)', r"_\1", text))
    out = ""
    for before, token in zip(["", *tokens], tokens, strict=False):
        ends, begins = before == ")" or before[:1].isalnum(), token == "(" or token[:1].isalnum()
        out += "*" * (ends and begins and not callable(READ.get(before))) + ("**" if token == "^" else token)
    return float(eval(out, {**READ, **known}))


@pytest.mark.parametrize("path", [MERROW, OSTREL], ids=["merrow", "ostrel"])
def test_formulas_read_back_give_the_result(path: object) -> None:
    """The printed formula, read as text with the given values, is the number printed under it."""
    for sheet in sheets(solution(path).results):  # type: ignore[arg-type]
        text = formula(sheet.symbol, sheet.relation).partition(" = ")[2]
        known = {name: g.value for name, g in sheet.given.items()}
        assert value(text, known) == pytest.approx(sheet.result, rel=1e-10, abs=1e-10), sheet.title
