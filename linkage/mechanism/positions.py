"""Two- and three-position construction: where the pins must be so that a body passes wanted places.

The classical graphical constructions of dimensional synthesis on complex numbers (Norton, Design of Machinery, chapters
on graphical and analytical linkage synthesis; Burmester, Lehrbuch der Kinematik, 1888; both from memory). Everything
works on scalars and on arrays; what does not exist is NaN.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkage.plane.vectors import cross, dot


def pole(first: Any, second: Any, turn: Any) -> Any:
    """The point about which a turn by ``turn`` rad, anticlockwise positive, takes ``first`` to ``second``.

    It lies on their perpendicular bisector, at distance chord / 2 / tan(turn / 2) from the chord; infinite without a
    turn.
    """
    u = np.exp(1j * np.asarray(turn))
    with np.errstate(divide="ignore", invalid="ignore"):
        return (second - u * first) / (1.0 - u)


def turn_about(centre: Any, first: Any, second: Any) -> Any:
    """Turn about ``centre`` from the direction of ``first`` to that of ``second``, rad, between -pi and pi."""
    return np.angle((second - centre) / (first - centre))


def bisector(first: Any, second: Any) -> tuple[Any, Any]:
    """Middle between two places and the unit vector along their perpendicular bisector, 90 deg anticlockwise of the
    way from first to second: all centres of circles through both."""
    way = second - first
    return 0.5 * (first + second), 1j * way / np.abs(way)


def off_bisector(point: Any, first: Any, second: Any) -> Any:
    """How much further a point is from ``first`` than from ``second``: nought on the bisector."""
    return np.abs(point - first) - np.abs(point - second)


def circle_centre(a: Any, b: Any, c: Any) -> Any:
    """Centre of the circle through three places of a point: its centre point, about which a body that carries it can
    turn through all three. NaN where they lie in line."""
    u, v = b - a, c - a
    area = np.asarray(2.0 * cross(u, v))
    with np.errstate(divide="ignore", invalid="ignore"):
        found = a + 1j * (u * dot(v, v) - v * dot(u, u)) / area
    return np.where(area == 0, np.nan, found)[()]
