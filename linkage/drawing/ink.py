"""How much is drawn where: rasters of the paper that tell label placement which ground is free.

Cells are a millimetre of paper, less than half the height of a letter with its air. A
row is a height above the lower edge, so nothing here is upside down.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely.geometry.base import BaseGeometry

CELL = 1.0
"""mm of paper."""

Raster = NDArray[np.float32]
Mask = NDArray[np.bool_]


@dataclass
class Ink:
    """Rasters of one picture, filled while it is laid out: ``lines`` 0/1 and up, ``fills`` how unwelcome a text is."""

    width: float
    height: float
    lines: Raster = field(init=False)
    fills: Raster = field(init=False)

    def __post_init__(self) -> None:
        self.lines = np.zeros(self.shape, dtype=np.float32)
        self.fills = np.zeros(self.shape, dtype=np.float32)
        # The frame is a line like any other, so no text touches it.
        self.lines[[0, -1], :] = self.lines[:, [0, -1]] = 1.0

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return (max(int(self.height / CELL), 1), max(int(self.width / CELL), 1))

    def inside(self, geometry: BaseGeometry) -> Mask:
        """Return the cells inside a geometry on paper."""
        image, pen = self._blank()
        for part in atoms(geometry):
            if part.geom_type == "Polygon":
                pen.polygon(_cells(part.exterior), fill=1)
                for hole in part.interiors:
                    pen.polygon(_cells(hole), fill=0)
        return np.asarray(image).astype(bool)

    def along(self, geometry: BaseGeometry, thickness: int = 1) -> Mask:
        """Return the cells that the lines of a geometry on paper pass through (the outline, for an area)."""
        image, pen = self._blank()
        for part in atoms(geometry):
            for ring in [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]:
                pen.line(_cells(ring), fill=1, width=thickness)
        return np.asarray(image).astype(bool)

    def _blank(self) -> tuple[Image.Image, ImageDraw.ImageDraw]:
        rows, columns = self.shape
        image = Image.new("L", (columns, rows), 0)
        return image, ImageDraw.Draw(image)


def atoms(geometry: BaseGeometry | None) -> Iterator[BaseGeometry]:
    """Yield the single lines and polygons of a geometry, however it is nested; points are left out."""
    if geometry is None or geometry.is_empty or geometry.geom_type in ("Point", "MultiPoint"):
        return
    if geometry.geom_type in ("Polygon", "LineString", "LinearRing"):
        yield geometry
        return
    for part in shapely.get_parts(geometry):
        yield from atoms(part)


def _cells(line: BaseGeometry) -> list[tuple[float, float]]:
    return [(float(x) / CELL, float(y) / CELL) for x, y in shapely.get_coordinates(line)]


def running_sums(raster: Raster | Mask) -> NDArray[np.float64]:
    """Return the sums over all cells below and left of each cell corner."""
    total = np.zeros((raster.shape[0] + 1, raster.shape[1] + 1))
    np.cumsum(np.cumsum(raster, axis=0, dtype=float), axis=1, out=total[1:, 1:])
    return total


def window_sums(total: NDArray[np.float64], rows: int, columns: int) -> NDArray[np.float64]:
    """Return the sums over every ``rows`` x ``columns`` window from running sums, at its lower left cell."""
    return total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
