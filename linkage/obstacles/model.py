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
