"""Vectors of the plane as complex numbers ``x + 1j*y``. All functions work on scalars, arrays and enclosures alike."""

from __future__ import annotations

from typing import Any

import numpy as np

# These take complex numbers, complex arrays, or `linkage.plane.spans.Box`: whatever has `*`, `conjugate`,
# `real` and `imag`. One formula thus serves positions and the proof of their error bounds.


def at(pair: Any) -> Any:
    """Point of a pair of coordinates; arrays give an array of points."""
    return pair[0] + 1j * pair[1]


def plain(value: Any) -> Any:
    """A number of Python's own where it is one number, an array as it is."""
    return value.item() if isinstance(value, np.generic) else value


def dot(a: Any, b: Any) -> Any:
    """Scalar product of two vectors that are complex numbers, or of arrays of them."""
    return a.real * b.real + a.imag * b.imag


def cross(a: Any, b: Any) -> Any:
    """z component of the vector product, positive when ``b`` lies anticlockwise of ``a``."""
    return a.real * b.imag - a.imag * b.real


def square(a: Any) -> Any:
    """Squared length."""
    return a.real * a.real + a.imag * a.imag
