"""WHAT to draw: labelled primitives with a role. No matplotlib here, so that a picture can be tested as data.

Points are complex ``FS + 1j*WL`` in mm (docs/conventions.md). Sizes on paper, line types and colours follow from the
role and belong to ``palette`` and ``paint``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import get_coordinates
from shapely.geometry.base import BaseGeometry

Points = Sequence[complex] | NDArray[np.complex128]
Window = tuple[float, float, float, float]
"""(least FS, least WL, greatest FS, greatest WL), mm."""


class Role(StrEnum):
    """What a primitive stands for. Each role has one line type, one colour and one hatch."""

    OUTLINE = "gear down"
    TRANSIT = "gear part-way"
    UP = "gear up"
    CENTRE = "centre line"
    HIDDEN = "hidden edge"
    KEEPOUT = "keep-out"
    SWEPT = "swept region"
    BAY = "bay item"
    HOT = "hot bay item"
    ENGINE = "engine-mounted"
    GROUND = "ground"
    ACTUATOR = "actuator"
    SPRING = "gas spring"
    WORST = "tightest place"


@dataclass(frozen=True)
class Path:
    """A line through points; ``closed`` makes it an outline with an inside."""

    points: Points
    closed: bool = False
    role: Role = Role.OUTLINE
    label: str = ""

    def __post_init__(self) -> None:
        points = tuple(complex(z) for z in self.points)
        object.__setattr__(self, "points", points)
        least = 3 if self.closed else 2
        if len(points) < least:
            raise ValueError(f"path {self.label!r}: {len(points)} points, a drawn path needs {least} or more")
        _finite("path", self.label, *points)


@dataclass(frozen=True)
class Disc:
    """A circle with its inside."""

    centre: complex
    radius: float
    role: Role = Role.OUTLINE
    label: str = ""

    def __post_init__(self) -> None:
        _finite("disc", self.label, self.centre, self.radius)
        _positive("disc", self.label, self.radius)


@dataclass(frozen=True)
class Bar:
    """A straight bar with round ends: everything within ``radius`` of the segment ``a`` - ``b``."""

    a: complex
    b: complex
    radius: float
    role: Role = Role.OUTLINE
    label: str = ""

    def __post_init__(self) -> None:
        _finite("bar", self.label, self.a, self.b, self.radius)
        _positive("bar", self.label, self.radius)


@dataclass(frozen=True)
class Region:
    """Any shapely geometry in (FS, WL), mm; an empty one draws nothing."""

    geometry: BaseGeometry
    role: Role = Role.SWEPT
    label: str = ""

    def __post_init__(self) -> None:
        if not np.isfinite(get_coordinates(self.geometry)).all():
            raise ValueError(f"region {self.label!r}: coordinates must be finite")


@dataclass(frozen=True)
class PinMark:
    """The place of a pin; ``fixed`` means it sits on the airframe."""

    at: complex
    label: str = ""
    fixed: bool = False
    role: Role = Role.OUTLINE

    def __post_init__(self) -> None:
        _finite("pin mark", self.label, self.at)


@dataclass(frozen=True)
class Dimension:
    """A distance with its text between two points.

    ``offset`` moves the dimension line sideways, in mm of paper, left of the way from ``a`` to ``b``; None lets the
    painter look for a free place (and keeps a short one, such as a tight gap, where it is).
    """

    a: complex
    b: complex
    text: str
    role: Role = Role.CENTRE
    offset: float | None = None

    def __post_init__(self) -> None:
        _finite("dimension", self.text, self.a, self.b, self.offset or 0.0)


@dataclass(frozen=True)
class Leader:
    """A remark that points at a place."""

    at: complex
    text: str
    role: Role = Role.OUTLINE

    def __post_init__(self) -> None:
        _finite("leader", self.text, self.at)


@dataclass(frozen=True)
class Note:
    """A remark that points at nothing; near ``at`` when given, else wherever the sheet is empty."""

    text: str
    at: complex | None = None
    role: Role = Role.OUTLINE

    def __post_init__(self) -> None:
        _finite("note", self.text, self.at or 0j)


Shape = Path | Disc | Bar | Region
Item = Shape | PinMark | Dimension | Leader | Note


@dataclass(frozen=True)
class Scene:
    """A whole picture as data.

    ``title`` says the answer, ``caption`` is the alternative text for readers who cannot see the picture, and
    ``window`` cuts the picture (None shows everything).
    """

    items: tuple[Item, ...]
    title: str = ""
    caption: str = ""
    window: Window | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "items", tuple(self.items))
        if self.window is not None:
            _finite("window", self.title, *self.window)

    def roles(self) -> tuple[Role, ...]:
        """Return the roles in use, in the order of :class:`Role`."""
        used = {item.role for item in self.items}
        return tuple(role for role in Role if role in used)

    def texts(self) -> tuple[str, ...]:
        """Return every non-empty label and remark in drawing order."""
        return tuple(text for item in self.items if (text := text_of(item)))

    def plus(self, items: Iterable[Item]) -> Scene:
        """Return the scene with more items on top."""
        return replace(self, items=(*self.items, *items))

    def extent(self) -> Window:
        """Return the window, or else the bounds of everything in the scene (mm); a unit square when it is empty."""
        if self.window is not None:
            return self.window
        corners = np.array([corner for item in self.items for corner in _corners(item)], dtype=complex)
        if corners.size == 0:
            return (0.0, 0.0, 1.0, 1.0)
        x, y = corners.real, corners.imag
        return (float(x.min()), float(y.min()), float(x.max()), float(y.max()))


def text_of(item: Item) -> str:
    """Return the label or remark of an item."""
    return item.text if isinstance(item, Dimension | Leader | Note) else item.label


def _corners(item: Item) -> list[complex]:
    """Two opposite corners that bound an item (none for something without a place)."""
    match item:
        case Path():
            z = np.asarray(item.points, dtype=complex)
            return [complex(z.real.min(), z.imag.min()), complex(z.real.max(), z.imag.max())]
        case Disc():
            return [item.centre - item.radius * (1 + 1j), item.centre + item.radius * (1 + 1j)]
        case Bar():
            r = item.radius * (1 + 1j)
            return [item.a - r, item.a + r, item.b - r, item.b + r]
        case Region():
            x0, y0, x1, y1 = item.geometry.bounds
            return [] if item.geometry.is_empty else [complex(x0, y0), complex(x1, y1)]
        case Dimension():
            return [item.a, item.b]
        case Note():
            return [] if item.at is None else [item.at]
        case _:
            return [item.at]


def _finite(kind: str, label: str, *values: Any) -> None:
    if not all(math.isfinite(complex(v).real) and math.isfinite(complex(v).imag) for v in values):
        raise ValueError(f"{kind} {label!r}: every coordinate must be a finite number")


def _positive(kind: str, label: str, radius: float) -> None:
    if not radius > 0:
        raise ValueError(f"{kind} {label!r}: radius={radius} must be > 0")
