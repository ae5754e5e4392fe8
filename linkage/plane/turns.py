"""Extremes of a cosine over a whole turn or a part of it, in closed form: nothing between samples is missed."""

from __future__ import annotations

from typing import Any

import numpy as np

FULL = 2.0 * np.pi


def cosine_over(start: Any, sweep: Any) -> tuple[Any, Any]:
    """Least and greatest cosine of the angles from ``start`` to ``start + sweep``, rad, ``sweep`` not negative."""
    begin = np.mod(start, FULL)
    end = begin + sweep
    one, other = np.cos(begin), np.cos(end)
    low = np.where((end >= 3.0 * np.pi) | ((begin <= np.pi) & (end >= np.pi)), -1.0, np.minimum(one, other))
    high = np.where(end >= FULL, 1.0, np.maximum(one, other))
    return np.where(np.isnan(end), np.nan, low), np.where(np.isnan(end), np.nan, high)


def crosses_line(start: Any, sweep: Any, room: float) -> Any:
    """Whether an angle from ``start`` to ``start + sweep``, rad, comes within ``room`` of a multiple of pi."""
    low, high = np.minimum(start, start + sweep) - room, np.maximum(start, start + sweep) + room
    return ~(np.floor(low / np.pi) == np.floor(high / np.pi))
