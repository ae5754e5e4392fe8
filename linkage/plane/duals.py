"""Numbers that carry their derivatives: a value, and its slope by each of several inputs at once.

Forward differentiation, exact to rounding. For closed forms only, which then run unchanged; points of the plane stay
complex, so a slope by a real input is complex too. The usual rules; |z| and the parts of z are differentiated as
functions of two real numbers, which is all that is meant here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

Chain = Callable[..., Any]


class Dual:
    """``value``: a number or an array of them; ``slope``: the same shape with one more axis at the end, the inputs.

    Comparisons look at the value. ``numpy.asarray`` gives the value alone, to places that keep plain numbers.
    """

    __slots__ = ("slope", "value")

    def __init__(self, value: Any, slope: Any) -> None:
        self.value: Any = np.asarray(value)[()]
        self.slope: Any = np.asarray(slope)

    def __repr__(self) -> str:
        return f"Dual({self.value!r}, {self.slope!r})"

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> Any:
        return np.array(self.value, dtype=dtype)

    def __array_ufunc__(self, ufunc: Any, method: str, *inputs: Any, **kwargs: Any) -> Any:
        if method != "__call__" or kwargs:
            return NotImplemented
        if ufunc in FLAT:
            return ufunc(*(value_of(x) for x in inputs))
        rule = RULES.get(ufunc)
        return rule(*inputs) if rule is not None else NotImplemented

    def __array_function__(self, func: Any, types: Any, args: Any, kwargs: Any) -> Any:
        if func is np.where:
            return _where(*args)
        if func is np.atleast_1d:
            return self if np.ndim(self.value) else Dual(np.reshape(self.value, 1), self.slope[None])
        if func in ASKED:
            return func(*(value_of(x) for x in args), **kwargs)
        return NotImplemented

    def __getitem__(self, key: Any) -> Dual:
        return Dual(np.asarray(self.value)[key], self.slope[key])

    @property
    def real(self) -> Dual:
        return Dual(np.real(self.value), np.real(self.slope))

    @property
    def imag(self) -> Dual:
        return Dual(np.imag(self.value), np.imag(self.slope))

    def conjugate(self) -> Dual:
        return Dual(np.conjugate(self.value), np.conjugate(self.slope))

    def __neg__(self) -> Dual:
        return Dual(-self.value, -self.slope)

    def __abs__(self) -> Dual:
        return _absolute(self)

    def __add__(self, other: Any) -> Dual:
        return _add(self, other)

    def __radd__(self, other: Any) -> Dual:
        return _add(self, other)

    def __sub__(self, other: Any) -> Dual:
        return _add(self, -other)

    def __rsub__(self, other: Any) -> Dual:
        return _add(-self, other)

    def __mul__(self, other: Any) -> Dual:
        return _multiply(self, other)

    def __rmul__(self, other: Any) -> Dual:
        return _multiply(self, other)

    def __truediv__(self, other: Any) -> Dual:
        return _divide(self, other)

    def __rtruediv__(self, other: Any) -> Dual:
        return _divide(other, self)

    def __pow__(self, power: int) -> Dual:
        return Dual(self.value**power, _wide(power * self.value ** (power - 1)) * self.slope)

    def __lt__(self, other: Any) -> Any:
        return self.value < value_of(other)

    def __le__(self, other: Any) -> Any:
        return self.value <= value_of(other)

    def __gt__(self, other: Any) -> Any:
        return self.value > value_of(other)

    def __ge__(self, other: Any) -> Any:
        return self.value >= value_of(other)

    def __bool__(self) -> bool:
        return bool(self.value)

    def __float__(self) -> float:
        return float(self.value)


def value_of(x: Any) -> Any:
    """The value alone."""
    return x.value if isinstance(x, Dual) else x


def slope_of(x: Any, inputs: int) -> Any:
    """The slope, nought for a plain number."""
    return x.slope if isinstance(x, Dual) else np.zeros((*np.shape(x), inputs))


def _wide(value: Any) -> Any:
    return np.asarray(value)[..., None]


def _add(a: Any, b: Any) -> Dual:
    if isinstance(a, Dual) and isinstance(b, Dual):
        return Dual(a.value + b.value, a.slope + b.slope)
    one, other = (a, b) if isinstance(a, Dual) else (b, a)
    value = one.value + other
    return Dual(value, np.broadcast_to(one.slope, (*np.shape(value), one.slope.shape[-1])))


def _multiply(a: Any, b: Any) -> Dual:
    slope = 0.0
    if isinstance(a, Dual):
        slope = slope + a.slope * _wide(value_of(b))
    if isinstance(b, Dual):
        slope = slope + _wide(value_of(a)) * b.slope
    return Dual(value_of(a) * value_of(b), slope)


def _divide(a: Any, b: Any) -> Dual:
    value = value_of(a) / value_of(b)
    slope = a.slope if isinstance(a, Dual) else 0.0
    if isinstance(b, Dual):
        slope = slope - _wide(value) * b.slope
    return Dual(value, slope / _wide(value_of(b)))


def _absolute(a: Dual) -> Dual:
    size = np.abs(a.value)
    return Dual(size, np.real(_wide(np.conjugate(a.value)) * a.slope) / _wide(size))


def _arctan2(y: Any, x: Any) -> Dual:
    a, b = value_of(y), value_of(x)
    cross = x * a - y * b  # its slope is minus that of the angle, times the squared length
    return Dual(np.arctan2(a, b), -cross.slope / _wide(a * a + b * b))


def _hypot(a: Any, b: Any) -> Any:
    return np.sqrt(a * a + b * b)


def _where(condition: Any, yes: Any, no: Any) -> Dual:
    known = value_of(condition)
    inputs = next(x.slope.shape[-1] for x in (yes, no) if isinstance(x, Dual))
    slope = np.where(_wide(known), slope_of(yes, inputs), slope_of(no, inputs))
    return Dual(np.where(known, value_of(yes), value_of(no)), slope)


def _of_one(function: Chain, rate: Chain) -> Chain:
    """A function of one number; ``rate``: its derivative from argument and result."""

    def chained(a: Dual) -> Dual:
        value = function(a.value)
        return Dual(value, _wide(rate(a.value, value)) * a.slope)

    return chained


RULES: dict[Any, Chain] = {
    np.add: _add,
    np.subtract: lambda a, b: _add(a, -b),
    np.multiply: _multiply,
    np.divide: _divide,
    np.negative: lambda a: -a,
    np.conjugate: lambda a: a.conjugate(),
    np.absolute: _absolute,
    np.square: lambda a: a * a,
    np.arctan2: _arctan2,
    np.hypot: _hypot,
    np.sqrt: _of_one(np.sqrt, lambda x, f: 0.5 / f),
    np.exp: _of_one(np.exp, lambda x, f: f),
    np.sin: _of_one(np.sin, lambda x, f: np.cos(x)),
    np.cos: _of_one(np.cos, lambda x, f: -np.sin(x)),
    np.tan: _of_one(np.tan, lambda x, f: 1.0 + f * f),
    np.arcsin: _of_one(np.arcsin, lambda x, f: 1.0 / np.sqrt(1.0 - x * x)),
    np.arctan: _of_one(np.arctan, lambda x, f: 1.0 / (1.0 + x * x)),
    np.radians: _of_one(np.radians, lambda x, f: np.pi / 180.0),
    np.degrees: _of_one(np.degrees, lambda x, f: 180.0 / np.pi),
}
FLAT = {np.sign, np.copysign, np.isfinite, np.isnan, np.less, np.less_equal, np.greater, np.greater_equal}
"""Functions that do not change with their inputs, but for jumps."""
ASKED = {np.ndim, np.shape, np.size, np.all, np.any}
