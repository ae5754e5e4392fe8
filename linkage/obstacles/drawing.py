"""A layer of a DXF drawing as side-view regions: lines, arcs, polylines, splines and blocks, joined to outlines."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from linkage.document.bay import BayItem
from linkage.obstacles.model import FURTHEST, Slice, UnusableFileError
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

DEEPEST = 16
"""Blocks in one another. A drawing by hand has three or four; one that holds itself has no end."""

MOST_IN_BLOCKS = 5_000
"""Entities that all blocks of a layer may hold together: seconds of work."""

MOST_CORNERS = 20_000
"""Corners of all flattened curves of a layer, for the same reason."""

MOST_NEAR = 500_000
"""Pairs of chords that may touch: a few for each chord in any drawing of outlines."""

EXPECTED = "an intact DXF file"
OUTLINES = "lines, arcs, polylines, splines, blocks"


def read_layer(path: Path, item: BayItem) -> Sequence[Slice]:
    """All closed outlines of the layer as one region, in mm, never smaller than drawn.

    Raises `UnusableFileError` for a broken file, a layer that is not there, a file without units, open chains and
    outlines that cross themselves: nothing is dropped in silence.
    """
    document = _document(path)
    factor = _factor(document.header.get("$INSUNITS", 0), item, path.name)
    space = document.modelspace()
    layers = sorted({_layer(e) for e in space})
    if item.layer is None or item.layer not in layers:
        some = ", ".join(layers[:20]) + (f" and {len(layers) - 20} more" if len(layers) > 20 else "")
        wanted = f"layer = one of {some}" if layers else "a layer with outlines; this drawing is empty"
        raise UnusableFileError(f"layer {item.layer!r} is not in {path.name!r}", wanted)
    lines = list(_lines(space, item.layer, factor, path.name))
    return [Slice(_region(lines, path.name), 0.0, 0.0, False)]


def _document(path: Path) -> Any:
    from ezdxf.filemanagement import readfile

    logger, told = logging.getLogger("ezdxf"), _Told()  # which else would quote the file on the terminal
    logger.addHandler(told)
    try:
        document = readfile(path)
    except Exception as err:  # a broken file makes the parser raise anything at all
        raise UnusableFileError(f"{path.name!r} is not readable as DXF ({_said(err)})", EXPECTED) from err
    finally:
        logger.removeHandler(told)
    if told.left_out:
        raise UnusableFileError(f"{path.name!r} is readable in parts only ({told.left_out[0]})", EXPECTED)
    return document


class _Told(logging.Handler):
    """What the parser says that it has left out, other than from tables of no shape."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.left_out: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        text = record.getMessage()
        if "ignor" in text.lower() and "table" not in text and "CLASSES" not in text:
            self.left_out.append(text)


def _said(err: Exception) -> str:
    return str(err) if err.args else type(err).__name__


def _factor(code: object, item: BayItem, name: str) -> float:
    unit = item.file_unit or (INSUNITS.get(code) if isinstance(code, int) else None)
    if unit is None:
        raise UnusableFileError(f"{name!r} does not say its unit ($INSUNITS {code})", 'file_unit = "mm" or "in"')
    return FACTORS["length"][unit]


def _layer(entity: Any) -> str:
    """Of kinds that the library does not know too; layer 0 is where everything is that is not said to be elsewhere."""
    if entity.dxf.is_supported("layer"):
        return str(entity.dxf.layer)
    known = getattr(entity, "xtags", None)
    return next((str(t.value) for tags in (known.subclasses if known else ()) for t in tags if t.code == 8), "0")


# --- entities ---------------------------------------------------------------------------------------------------------


def _lines(space: Any, layer: str, factor: float, name: str) -> Iterator[Any]:
    """Every curve of the layer as a chain of chords in mm."""
    walk, corners = _Walk(layer, name), 0
    for entity in walk.entities(space, False, 0):
        line = _flat(entity, factor, name)
        if line is not None:
            corners += len(line.coords)
            yield line
        if corners > MOST_CORNERS:
            raise UnusableFileError(
                f"layer {layer!r} of {name!r} has more than {MOST_CORNERS} corners, curves as chords",
                "a layer with no more than the outlines of this item",
            )


@dataclass
class _Walk:
    """Entities on a layer; blocks opened, whose own layer 0 takes the layer of the insert."""

    layer: str
    name: str
    opened: int = 0

    def entities(self, some: Any, inherited: bool, depth: int) -> Iterator[Any]:
        for entity in some:
            if depth > 0:
                self._count_one()
            on_layer = self._counts(entity, inherited)
            if entity.dxftype() == "INSERT":
                yield from self._block(entity, on_layer, depth + 1)
            elif on_layer and entity.dxftype() not in NO_SHAPE:
                yield entity

    def _counts(self, entity: Any, inherited: bool) -> bool:
        own = _layer(entity)
        return own == self.layer or (inherited and own == "0")

    def _count_one(self, times: int = 1) -> None:
        self.opened += times
        if self.opened > MOST_IN_BLOCKS:
            raise UnusableFileError(
                f"the blocks on layer {self.layer!r} of {self.name!r} hold more than {MOST_IN_BLOCKS} entities",
                "a layer with no more than the outlines of this item",
            )

    def _copies(self, insert: Any) -> Iterator[Any]:
        """Rows and columns of an insert. Without a spacing there is one; the library would try each all the same."""
        dxf = insert.dxf
        dxf.row_count = max(dxf.row_count, 1) if dxf.row_spacing else 1
        dxf.column_count = max(dxf.column_count, 1) if dxf.column_spacing else 1
        self._count_one(dxf.row_count * dxf.column_count - 1)
        return _guarded(insert.multi_insert() if insert.mcount > 1 else (insert,), self.name)

    def _block(self, insert: Any, inherited: bool, depth: int) -> Iterator[Any]:
        if depth > DEEPEST:
            raise UnusableFileError(
                f"blocks of {self.name!r} lie more than {DEEPEST} deep in one another, {insert.dxf.name!r} the last",
                "blocks that do not hold themselves",
            )

        def left_out(entity: Any, why: str) -> None:
            if self._counts(entity, inherited) and entity.dxftype() not in NO_SHAPE:
                kind = f"{_a(entity.dxftype())} in block {insert.dxf.name!r} of {self.name!r}"
                raise UnusableFileError(f"{kind} cannot be placed ({why})", OUTLINES)

        for copy in self._copies(insert):
            self._count_one()
            some = copy.virtual_entities(skipped_entity_callback=left_out)
            yield from self.entities(_guarded(some, self.name), inherited, depth)


def _guarded(some: Any, name: str) -> Iterator[Any]:
    """What the library yields; what it raises on the way as a fault of the file."""
    walk = iter(some)
    while True:
        try:
            one = next(walk)
        except StopIteration:
            return
        except UnusableFileError:
            raise
        except Exception as err:  # any of its errors, by broken numbers or names of blocks that are not there
            raise UnusableFileError(f"a block in {name!r} cannot be opened ({_said(err)})", EXPECTED) from err
        yield one


def _flat(entity: Any, factor: float, name: str) -> Any:
    from ezdxf import path as paths

    kind = entity.dxftype()
    with np.errstate(all="ignore"):  # numbers that are none are refused below
        try:
            curve = paths.make_path(entity)
            controls = [(p.x * factor, p.y * factor, p.z * factor) for p in curve.control_vertices()]
        except TypeError as err:
            raise UnusableFileError(f"{_a(kind)} in {name!r} has no outline", OUTLINES) from err
        except Exception as err:  # by broken numbers, any of the library's errors
            raise UnusableFileError(f"{_a(kind)} in {name!r} cannot be drawn ({_said(err)})", EXPECTED) from err
        _check_near(controls, kind, name)
        points = [(p.x * factor, p.y * factor) for p in curve.flattening(FLATTENING / factor)]
    return shapely.LineString(points) if len(points) > 1 else None


def _a(kind: str) -> str:
    return f"{'an' if kind[:1] in 'AEIOU' else 'a'} {kind}"


def _check_near(points: Sequence[tuple[float, float, float]], kind: str, name: str) -> None:
    """Above the drawing too: a curve is cut as finely as all its length asks for."""
    for x, y, z in points:
        if not all(abs(v) <= FURTHEST for v in (x, y, z)):  # not a number is not within either
            above = "" if abs(z) <= FURTHEST else f", {z:g} above the drawing"
            where = f"{_a(kind)} in {name!r} reaches to FS {x:g}, WL {y:g} mm{above}"
            raise UnusableFileError(where, f"numbers within {FURTHEST:g} mm of the datum")


# --- outlines ---------------------------------------------------------------------------------------------------------


def _check_tangle(lines: list[Any], name: str) -> None:
    """Lines that all cross one another would take for ever to join."""
    places, owner = shapely.get_coordinates(lines, return_index=True)
    ends = np.flatnonzero(owner[1:] == owner[:-1])
    chords = shapely.linestrings(np.stack([places[ends], places[ends + 1]], axis=1))
    tree, near = shapely.STRtree(chords), 0
    for start in range(0, len(chords), 100):
        near += tree.query(chords[start : start + 100]).shape[1]
        if near > MOST_NEAR:
            raise UnusableFileError(
                f"the outlines in {name!r} cross one another without end, more than {MOST_NEAR} times",
                "separate outlines",
            )


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
    _check_tangle(lines, name)
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
