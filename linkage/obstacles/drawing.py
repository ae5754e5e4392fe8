"""A layer of a DXF drawing as side-view regions: lines, arcs, polylines, splines and blocks, joined to outlines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import shapely

from linkage.document.bay import BayItem
from linkage.obstacles.model import Slice, UnusableFileError
from linkage.plane.outer import buffer_outer
from linkage.plane.outlines import polygon_of
from linkage.units import FACTORS

FLATTENING = 0.02
"""mm between a curve and its chords. Chords of an outside curve lie inside, so every region is grown by as much."""

JOIN = 1e-3
"""mm within which ends of lines count as joined."""

INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""DXF header $INSUNITS -> unit; 0 means that the file does not say."""

NO_SHAPE = {"TEXT", "MTEXT", "DIMENSION", "HATCH", "LEADER", "MULTILEADER", "POINT", "ATTRIB", "ATTDEF"}


def read_layer(path: Path, item: BayItem) -> Sequence[Slice]:
    """All closed outlines of the layer as one region, in mm, never smaller than drawn.

    Raises `UnusableFileError` for a broken file, a layer that is not there, a file without units, open chains and
    outlines that cross themselves: nothing is dropped in silence.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        document = readfile(path)
    except (OSError, DXFError, UnicodeDecodeError) as err:
        raise UnusableFileError(f"{path.name!r} is not readable as DXF ({err})", "an intact DXF file") from err
    factor = _factor(document.header.get("$INSUNITS", 0), item, path.name)
    layers = sorted({e.dxf.layer for e in document.modelspace()})
    if item.layer is None or item.layer not in layers:
        raise UnusableFileError(f"layer {item.layer!r} is not in {path.name!r}", f"layer = one of {', '.join(layers)}")
    lines = [_flat(e, factor) for e in _entities(document.modelspace(), item.layer)]
    return [Slice(_region([line for line in lines if line is not None], path.name), 0.0, 0.0, False)]


def _factor(code: int, item: BayItem, name: str) -> float:
    unit = item.file_unit or INSUNITS.get(code)
    if unit is None:
        raise UnusableFileError(f"{name!r} does not say its unit ($INSUNITS {code})", 'file_unit = "mm" or "in"')
    return FACTORS["length"][unit]


def _entities(space: Any, layer: str, inherited: bool = False) -> Iterator[Any]:
    """Entities on the layer; blocks opened, whose own layer 0 takes the layer of the insert."""
    for entity in space:
        on_layer = entity.dxf.layer == layer or (inherited and entity.dxf.layer == "0")
        if entity.dxftype() == "INSERT":
            yield from _entities(entity.virtual_entities(), layer, on_layer)
        elif on_layer and entity.dxftype() not in NO_SHAPE:
            yield entity


def _flat(entity: Any, factor: float) -> Any:
    from ezdxf import path as paths

    try:
        curve = paths.make_path(entity)
    except TypeError as err:
        raise UnusableFileError(
            f"a {entity.dxftype()} has no outline", "lines, arcs, polylines, splines, blocks"
        ) from err
    points = [(p.x * factor, p.y * factor) for p in curve.flattening(FLATTENING / factor)]
    return shapely.LineString(points) if len(points) > 1 else None


def _region(lines: list[Any], name: str) -> Any:
    """Join lines to rings, fill them, and grow by the flattening. Complains of whatever does not close."""
    if not lines:
        raise UnusableFileError(f"the layer in {name!r} has no outline", "at least one closed outline")
    for line in lines:
        if not line.is_simple:
            points = shapely.get_coordinates(line)
            raise UnusableFileError(
                f"{name!r}: {polygon_of(points[:, 0] + 1j * points[:, 1])}", "an outline without crossings"
            )
    noded = shapely.union_all(shapely.set_precision(lines, JOIN))
    faces, cuts, dangles, invalid = shapely.polygonize_full([noded])
    for left, what in (
        (dangles, "an open chain"),
        (cuts, "a line that bounds nothing"),
        (invalid, "a crossing outline"),
    ):
        if not left.is_empty:
            x, y = shapely.get_coordinates(left)[0]
            raise UnusableFileError(f"{what} near FS {x:.2f}, WL {y:.2f} mm in {name!r}", "closed outlines only")
    whole = shapely.union_all(shapely.get_parts(faces))
    if whole.area <= 0:
        raise UnusableFileError(f"the outlines in {name!r} have no area", "at least one closed outline")
    return buffer_outer(whole, FLATTENING + JOIN, FLATTENING)
