"""Interval arithmetic on arrays: `Span` for real numbers, `Box` for points of the plane.

The kernel's formulas use only ``+ - * /``, ``conjugate``, ``real``, ``imag``, `root`, `point` and `unit`, so the very
same code that places a pose encloses a whole range of poses. One operation rounds by about 1e-16 relative; every result
is widened by ``PAD`` relative, which covers that with room to spare. Numbers that go in are taken as exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

PAD = 1e-12
Floats = NDArray[np.float64]


def _padded(lo: Any, hi: Any) -> Span:
    return Span(lo - PAD * np.abs(lo), hi + PAD * np.abs(hi))


@dataclass(frozen=True)
class Span:
    """All real numbers from ``lo`` to ``hi`` (arrays of one shape)."""

    lo: Any
    hi: Any

    __array_ufunc__ = None  # numpy arrays on the left hand the operation over to this class

    def __neg__(self) -> Span:
        return Span(-self.hi, -self.lo)

    def __add__(self, other: Any) -> Any:
        if isinstance(other, Box):
            return other + self
        o = span(other)
        return _padded(self.lo + o.lo, self.hi + o.hi)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self + (-other)

    def __rsub__(self, other: Any) -> Any:
        return (-self) + other

    def __mul__(self, other: Any) -> Any:
        if isinstance(other, Box) or np.iscomplexobj(other):
            return box(other) * self
        if other is self:
            return self.squared()
        o = span(other)
        corners = (self.lo * o.lo, self.lo * o.hi, self.hi * o.lo, self.hi * o.hi)
        return _padded(_least(corners), _most(corners))

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Any:
        return self * span(other).inverse()

    def __rtruediv__(self, other: Any) -> Any:
        return self.inverse() * other

    def squared(self) -> Span:
        """Tighter than a product of two independent spans."""
        a, b = self.lo * self.lo, self.hi * self.hi
        holds_zero = (self.lo <= 0) & (self.hi >= 0)
        return _padded(np.where(holds_zero, 0.0, np.minimum(a, b)), np.maximum(a, b))

    def inverse(self) -> Span:
        """1/x; everything when zero lies inside."""
        holds_zero = (self.lo <= 0) & (self.hi >= 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            lo, hi = 1.0 / np.asarray(self.hi), 1.0 / np.asarray(self.lo)
        return _padded(np.where(holds_zero, -np.inf, lo), np.where(holds_zero, np.inf, hi))

    def sqrt(self) -> Span:
        """Square root of the part that is not negative; NaN where there is no such part."""
        with np.errstate(invalid="ignore"):
            lo, hi = np.sqrt(np.maximum(self.lo, 0.0)), np.sqrt(self.hi)
        return _padded(np.where(np.isnan(hi), np.nan, lo), hi)

    def most(self) -> Any:
        """Largest absolute value; infinite where the enclosure says nothing."""
        worst = np.maximum(np.abs(self.lo), np.abs(self.hi))
        return np.where(np.isnan(worst), np.inf, worst)


@dataclass(frozen=True)
class Box:
    """All points of the plane with ``real`` and ``imag`` in two spans."""

    real: Span
    imag: Span

    __array_ufunc__ = None

    def __neg__(self) -> Box:
        return Box(-self.real, -self.imag)

    def __add__(self, other: Any) -> Box:
        o = box(other)
        return Box(self.real + o.real, self.imag + o.imag)

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self + (-other)

    def __rsub__(self, other: Any) -> Any:
        return (-self) + other

    def __mul__(self, other: Any) -> Box:
        if isinstance(other, Span) or not (isinstance(other, Box) or np.iscomplexobj(other)):
            return Box(self.real * other, self.imag * other)
        o = box(other)
        return Box(self.real * o.real - self.imag * o.imag, self.real * o.imag + self.imag * o.real)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Box:
        if isinstance(other, Span):
            return self * other.inverse()
        return self * (1.0 / np.asarray(other))

    def conjugate(self) -> Box:
        return Box(self.real, -self.imag)

    def most(self) -> Any:
        """Largest distance from the origin."""
        return np.hypot(self.real.most(), self.imag.most())


def span(value: Any) -> Span:
    return value if isinstance(value, Span) else Span(value, value)


def box(value: Any) -> Box:
    if isinstance(value, Box):
        return value
    if isinstance(value, Span):
        return Box(value, Span(np.zeros_like(value.lo), np.zeros_like(value.lo)))
    z = np.asarray(value, dtype=np.complex128)
    return Box(span(z.real), span(z.imag))


def root(x: Any) -> Any:
    """Square root of numbers or spans; NaN where a number is negative (the group does not close there)."""
    if isinstance(x, Span):
        return x.sqrt()
    with np.errstate(invalid="ignore"):
        return np.sqrt(x)


def point(x: Any, y: Any) -> Any:
    """The point with coordinates x and y, of arrays or spans."""
    if isinstance(x, Span):
        return Box(x, y)
    out = np.empty(np.broadcast(x, y).shape, dtype=np.complex128)
    out.real, out.imag = x, y
    return out


def unit(q: Any) -> Any:
    """``exp(1j*q)`` of numbers or spans."""
    if isinstance(q, Span):
        return Box(_wave(np.cos, q, 0.0), _wave(np.sin, q, np.pi / 2))
    return point(np.cos(q), np.sin(q))


def _wave(function: Any, q: Span, top: float) -> Span:
    """Cosine or sine, which have their largest value at ``top`` and all full turns from there."""
    ends = (function(q.lo), function(q.hi))
    low = np.where(_holds(q, top + np.pi), -1.0, np.minimum(*ends))
    return _padded(low, np.where(_holds(q, top), 1.0, np.maximum(*ends)))


def _holds(q: Span, place: float) -> Any:
    """Whether ``place`` or one a number of full turns away lies inside."""
    return np.floor((q.hi - place) / (2 * np.pi)) * (2 * np.pi) + place >= q.lo


def _least(values: tuple[Any, ...]) -> Any:
    with np.errstate(invalid="ignore"):
        return np.minimum(np.minimum(values[0], values[1]), np.minimum(values[2], values[3]))


def _most(values: tuple[Any, ...]) -> Any:
    with np.errstate(invalid="ignore"):
        return np.maximum(np.maximum(values[0], values[1]), np.maximum(values[2], values[3]))
