"""A sympy relation as a formula in the typesetter's mathematics.

Only numbers, symbols, sums, products, powers and the functions below are known; anything else is refused rather than
printed in a way that might read as something else. Symbols are names of the worked sheets, never user text.
"""

from __future__ import annotations

from typing import Any

import sympy
from sympy.printing.printer import Printer

GREEK = frozenset({"alpha", "beta", "gamma", "delta", "epsilon", "eta", "theta", "lambda", "mu", "nu", "xi", "rho"})
GREEK |= {"sigma", "tau", "phi", "psi", "omega"}
FUNCTIONS = {"sin": "sin", "cos": "cos", "tan": "tan", "asin": "arcsin", "acos": "arccos", "atan": "arctan"}


class FormulaPrinter(Printer):  # type: ignore[misc]
    """One method a kind of expression. Fractions stand as fractions, roots as roots."""

    _default_settings = {"order": None}  # noqa: RUF012 - as sympy has it

    def emptyPrinter(self, expr: Any) -> str:  # noqa: N802 - sympy's name
        raise TypeError(f"no formula for {type(expr).__name__}: {expr}")

    def _print_Symbol(self, expr: Any) -> str:  # noqa: N802
        return symbol(expr.name)

    def _print_Integer(self, expr: Any) -> str:  # noqa: N802
        return str(expr.p)

    def _print_Rational(self, expr: Any) -> str:  # noqa: N802
        return f"frac({expr.p}, {expr.q})" if expr.p >= 0 else f"-frac({-expr.p}, {expr.q})"

    def _print_Float(self, expr: Any) -> str:  # noqa: N802
        return f"{float(expr):.7g}"

    def _print_Pi(self, expr: Any) -> str:  # noqa: N802
        return "pi"

    def _print_Add(self, expr: Any) -> str:  # noqa: N802
        # A sum reads better when it does not begin with a minus.
        terms = [self._print(t) for t in self._as_ordered_terms(expr)]
        terms.sort(key=lambda text: text.startswith("-"))
        head: str = terms[0]
        return head + "".join(f" - {t[1:]}" if t.startswith("-") else f" + {t}" for t in terms[1:])

    def _print_Mul(self, expr: Any) -> str:  # noqa: N802
        if expr.could_extract_minus_sign():
            positive = -expr
            text = self._print(positive)
            return f"-({text})" if positive.is_Add else f"-{text}"
        over, under = sympy.fraction(expr)
        if under != 1:
            return f"frac({self._print(over)}, {self._print(under)})"
        return " ".join(self._factor(f) for f in expr.as_ordered_factors())

    def _factor(self, expr: Any) -> str:
        text: str = self._print(expr)
        return f"({text})" if expr.is_Add or text.startswith("-") else text

    def _print_Pow(self, expr: Any) -> str:  # noqa: N802
        base, power = expr.as_base_exp()
        if power == sympy.Rational(1, 2):
            return f"sqrt({self._print(base)})"
        if power.is_negative:
            return f"frac(1, {self._print(base**-power)})"
        inner = self._print(base)
        plain = base.is_Symbol or base is sympy.pi or (base.is_Integer and base.is_nonnegative)
        return f"{inner if plain else f'({inner})'}^({self._print(power)})"

    def _print_Function(self, expr: Any) -> str:  # noqa: N802
        name = FUNCTIONS.get(type(expr).__name__)
        if name is None:
            self.emptyPrinter(expr)
        return f"{name}({self._print(expr.args[0])})"


def symbol(name: str) -> str:
    """``x_m`` -> x with an upright m below, ``theta`` -> the letter; several letters stay one word."""
    head, _, tail = name.partition("_")
    shown = head if len(head) == 1 or head in GREEK else f'upright("{head}")'
    return f'{shown}_upright("{tail}")' if tail else shown


def formula(name: str, relation: Any) -> str:
    """``name = relation``. ``TypeError`` for an expression of another kind than the worked sheets use."""
    return f"{symbol(name)} = {FormulaPrinter().doprint(relation)}"
