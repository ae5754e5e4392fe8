"""What the gear must miss, ready for geometry: side-view shapes with their butt lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Obstacle:
    """One slice of a bay item: shapely geometry in the side view (FS, WL), grown by ``radius``, mm.

    A circle is its centre grown, so that it is exact. An item read from a solid has one slice for each range of butt
    lines; slices of one item share its name. ``line``: only a line is drawn, the region below it is forbidden.
    """

    name: str
    shape: Any
    radius: float
    butt_lines: tuple[tuple[float, float], ...]
    required: float
    stowed_only: bool
    ignore: frozenset[str]
    with_engine: bool = False
    hot: bool = False
    line: tuple[complex, ...] = ()


@dataclass(frozen=True)
class Slice:
    """Side-view region (mm) between two butt lines, or at whatever butt lines the study gives (``bounded`` false)."""

    region: Any
    bl_lo: float
    bl_hi: float
    bounded: bool


class UnusableFileError(Exception):
    """A bay item's file cannot be used: what was found, and what was expected."""

    def __init__(self, found: str, expected: str) -> None:
        self.found, self.expected = found, expected
        super().__init__(f"{found}; expected {expected}")
