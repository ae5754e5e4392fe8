"""A picture handed to a window in parts: only the box of each region in which something changed. On its way to the
screen every pixel is copied several times, also by the window system, and most of a picture is as it was."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from matplotlib.transforms import Bbox
from numpy.typing import NDArray


class Parts:
    """``put`` hands over what changed since it was last called. ``regions``: parts of the window, fractions (left,
    lower, width, height), each handed over by itself."""

    def __init__(
        self,
        canvas: Any,
        regions: Callable[[], Sequence[tuple[float, float, float, float]]],
        hand_over: Callable[[Bbox], object],
    ) -> None:
        self.canvas, self.regions, self.hand_over = canvas, regions, hand_over
        self._last: NDArray[np.uint32] | None = None
        canvas.mpl_connect("draw_event", self._forget)

    def _forget(self, event: Any) -> None:
        """The canvas hands over a whole picture by itself."""
        self._last = None

    def put(self) -> None:
        words = np.asarray(self.canvas.buffer_rgba()).view(np.uint32)[..., 0]
        if self._last is None or self._last.shape != words.shape:
            self.canvas.blit()
        else:
            differs = words != self._last
            for left, lower, width, height in self.regions():
                box = changed(differs, Bbox.from_bounds(left, lower, width, height))
                if box is not None:
                    self.hand_over(box)
        self._last = words.copy()


def changed(differs: NDArray[np.bool_], region: Bbox) -> Bbox | None:
    """The least box in pixels, from the lower left corner, around all that differs in a region (fractions), whole
    pixels of its edge included; None if nothing does."""
    height, width = differs.shape
    top, low = int(np.floor((1 - region.y1) * height)), int(np.ceil((1 - region.y0) * height))
    left, right = int(np.floor(region.x0 * width)), int(np.ceil(region.x1 * width))
    inside = differs[max(top, 0) : low, max(left, 0) : right]
    rows = np.flatnonzero(inside.any(axis=1))
    if not len(rows):
        return None
    columns = np.flatnonzero(inside[rows[0] : rows[-1] + 1].any(axis=0))
    x, y = max(left, 0), height - max(top, 0)
    return Bbox.from_extents(x + int(columns[0]), y - int(rows[-1]) - 1, x + int(columns[-1]) + 1, y - int(rows[0]))
