"""A folding pair as made: what its stop, its lengths and the play of its knee leave of the offset.

The pair is held by its own stop, which keeps the angle between the two links as bodies, or by its ends. The knee's play
is where the hole of the second link lies from that of the first: along the second link, towards its far pin (real), and
square to it, towards the fold (imaginary).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from linkage.plane.vectors import cross


@dataclass(frozen=True)
class Pair:
    """``first``: first link; ``second``: from the knee's hole in the first link to the far hole of the second, play
    included; ``span``: between the end holes; ``offset``: of the first link's hole past the line of the end holes,
    positive over centre, NaN where the links do not reach; ``lack``: by how much they are then too short, mm."""

    first: Any
    second: Any
    span: Any
    offset: Any
    lack: Any


def bend_of(first: float, second: float, offset: Any) -> Any:
    """Angle past straight of a pair with this offset, rad."""
    return np.arcsin(offset / first) + np.arcsin(offset / second)


@np.errstate(invalid="ignore")
def by_stop(first: Any, second: Any, bend: Any, play: Any, arm: float | None) -> Pair:
    """The stop keeps the angle ``bend`` between the links. ``arm``: from the knee's pin to where its faces meet."""
    longer = second + play
    effective = np.abs(longer)
    past = bend + np.angle(longer) + (play.real / arm if arm is not None else 0.0)
    span = np.sqrt(first * first + effective * effective + 2.0 * first * effective * np.cos(past))
    offset = first * effective * np.sin(past) / span
    return Pair(first, effective, span, offset, np.zeros(np.shape(span)))


@np.errstate(invalid="ignore")
def by_ends(first: Any, second: Any, span: Any, play: Any, side: float) -> Pair:
    """The ends are held: the triangle is closed again. ``side``: +1 where the pair is over centre as drawn."""
    effective = np.abs(second + play)
    foot = (span * span + first * first - effective * effective) / (2.0 * span)
    offset = side * np.sqrt(first * first - foot * foot)
    return Pair(first, effective, span, offset, np.maximum(span - first - effective, 0.0))


def past(near: Any, far: Any, point: Any, fold: Any) -> Any:
    """Distance of a point past the line near - far, positive on the side away from ``fold``."""
    line = (far - near) / np.abs(far - near)
    side = np.sign(cross(line, fold))
    return -side * cross(line, point - near)


def knee_holes(pair: Pair, play: Any, second: Any, knee: Any, far: Any, fold: Any) -> tuple[Any, Any]:
    """Holes of the first and of the second link at the knee. ``second``: the second link's own length."""
    side = np.sign(cross(far - knee, fold))
    offset = play.real + 1j * side * play.imag
    return knee, knee + (far - knee) / (second + offset) * offset
