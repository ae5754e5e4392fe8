"""A picture handed to a window in parts: only the tiles in which something changed. On its way to the screen every
pixel is copied several times, also by the window system, and most of a picture is as it was."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

TILE = 16
"""Pixels of the side of a tile. Smaller ones hold fewer pixels that did not change, but there are more of them."""

Box = tuple[int, int, int, int]
"""First and last column, first and last row, the last ones not included; rows from the top of the window."""


class Parts:
    """``put`` hands over what changed since it was last called. ``hand_over``: given all boxes of a picture."""

    def __init__(self, canvas: Any, hand_over: Callable[[list[Box]], object]) -> None:
        self.canvas, self.hand_over = canvas, hand_over
        self._last: NDArray[np.uint32] | None = None
        canvas.mpl_connect("draw_event", self._forget)

    def _forget(self, event: Any) -> None:
        """The canvas hands over a whole picture by itself."""
        self._last = None

    def put(self) -> None:
        words = np.asarray(self.canvas.buffer_rgba()).view(np.uint32)[..., 0]
        if self._last is None or self._last.shape != words.shape:
            self.canvas.blit()
            self._last = words.copy()
        else:
            self.hand_over(changed(words != self._last))
            self._last[...] = words


def changed(differs: NDArray[np.bool_]) -> list[Box]:
    """Boxes around all that differs (rows, columns): runs of tiles side by side."""
    height, width = differs.shape
    whole = height - height % TILE
    bands = differs[:whole].reshape(-1, TILE, width).any(axis=1)
    if whole < height:
        bands = np.concatenate([bands, differs[whole:].any(axis=0, keepdims=True)])
    tiles = np.logical_or.reduceat(bands, np.arange(0, width, TILE), axis=1)
    walled = np.pad(tiles, ((0, 0), (1, 1)))
    row, edge = np.nonzero(walled[:, 1:] != walled[:, :-1])
    top, left, right = TILE * row[::2], TILE * edge[::2], np.minimum(TILE * edge[1::2], width)
    return list(zip(left.tolist(), right.tolist(), top.tolist(), np.minimum(top + TILE, height).tolist(), strict=True))
