"""What the gear must miss, ready for geometry: side-view shapes with their butt lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linkage.files import printable

FURTHEST = 5e4
"""mm from the datum, as of every length in a study: beyond any light aircraft."""

LONGEST, LONGEST_WORD = 400, 100
"""Letters of a message about a file, and of one word in it: what a file says is quoted, but not at length."""


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
    """A bay item's file cannot be used: what was found, and what was expected, in harmless letters."""

    def __init__(self, found: str, expected: str) -> None:
        self.found, self.expected = _quoted(found), _quoted(expected)
        super().__init__(f"{self.found}; expected {self.expected}")


def _quoted(text: str) -> str:
    words = (word if len(word) <= LONGEST_WORD else word[:LONGEST_WORD] + "..." for word in text.split())
    line = printable(" ".join(words))
    return line if len(line) <= LONGEST else line[:LONGEST] + " ..."
