"""DXF R2010: the side view, one layer per thing, true arcs as bulges, text on a layer of its own."""

from __future__ import annotations

import io
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from linkage.handoff.arcs import ArcPath, fit_region
from linkage.handoff.model import Area, Circle, Entity, Label, Layer, Line, LineKind, Mark, Unit, unique_names
from linkage.units import FACTORS

TEXT_LAYER = "TEXT"
MAX_NAME, MAX_TEXT, NOTE_WIDTH = 200, 250, 100

# ISO 128 kinds of line: DXF line type, its pattern in mm (+ dash, - gap), line weight in 1/100 mm.
LINES: dict[LineKind, tuple[str, list[float], int]] = {
    "thick": ("CONTINUOUS", [], 50),
    "thin": ("CONTINUOUS", [], 25),
    "phantom": ("PHANTOM", [24.0, -3.0, 6.0, -3.0, 6.0, -3.0], 25),
    "centre": ("CENTER", [24.0, -3.0, 3.0, -3.0], 25),
    "hidden": ("HIDDEN", [6.0, -3.0], 25),
}


def dxf_bytes(layers: Sequence[Layer], unit: Unit, notes: Sequence[str] = (), tolerance: float = 0.05) -> bytes:
    """The drawing with ``$INSUNITS`` set; ``notes`` go below it as text. Repeatable.

    Areas lie at most ``tolerance`` mm outside what they show, never inside.
    """
    with _fixed_dates():
        document = _document(unit)
        document.layers.add(TEXT_LAYER, color=7)
        pen = _Pen(document.modelspace(), FACTORS["length"][unit], tolerance)
        # Labels go to the text layer; a layer that holds nothing else needs no row of its own.
        drawn = [x for x in layers if not (x.entities and all(isinstance(e, Label) for e in x.entities))]
        names = dict(zip(map(id, drawn), unique_names(layer_name(x.name) for x in drawn), strict=True))
        for layer in layers:
            name = names.get(id(layer), TEXT_LAYER)
            if name != TEXT_LAYER:
                _add_layer(document, name, layer)
            for entity in layer.entities:
                pen.draw(entity, name)
        _add_notes(document, pen, notes)
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)  # else in the order of a set, which changes from run to run
        out = io.StringIO()
        document.write(out)
    return out.getvalue().encode("utf-8", "surrogateescape")


def layer_name(name: str) -> str:
    """The name with what DXF forbids in a layer name replaced by an underscore; never empty, never the text layer."""
    clean = "".join("_" if c in '<>/\\":;?*|=`,' else c for c in plain(name, MAX_NAME)).strip() or "_"
    return clean + " (2)" if clean.casefold() == TEXT_LAYER.casefold() else clean


def plain(text: str, longest: int = MAX_TEXT) -> str:
    """Text that no reader takes for a control code: one line, no ``%%`` and caret codes, cut where it is too long."""
    text = "".join(" " if unicodedata.category(c)[0] in "CZ" else c for c in text)
    while "%%" in text:
        text = text.replace("%%", "% %")
    text = text.replace("^", "^ ").replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")
    return text if len(text) <= longest else text[: longest - 1] + "…"


class _Pen:
    """Puts entities into a model space in its unit."""

    def __init__(self, space: Any, factor: float, tolerance: float) -> None:
        self.space, self.factor, self.tolerance = space, factor, tolerance

    def at(self, point: complex) -> tuple[float, float]:
        """(x, y) in the drawing's unit."""
        return point.real / self.factor, point.imag / self.factor

    def draw(self, entity: Entity, layer: str) -> None:
        """Add one entity."""
        where = {"layer": layer}
        match entity:
            case Line(points, closed):
                self._polyline(tuple((p, 0.0) for p in points), closed, layer)
            case Area(region):
                for piece in fit_region(region, self.tolerance):
                    for path in (piece.outer, *piece.holes):
                        self._polyline(path, True, layer)
            case Circle(centre, radius):
                self.space.add_circle(self.at(centre), radius / self.factor, dxfattribs=where)
            case Mark(at):
                self.space.add_point(self.at(at), dxfattribs=where)
            case Label(at, text, height):
                self.write(at, text, height)

    def write(self, at: complex, text: str, height: float) -> None:
        """Add text on its own layer."""
        entity = self.space.add_text(plain(text), height=height / self.factor, dxfattribs={"layer": TEXT_LAYER})
        entity.dxf.style = "NOTES"
        entity.set_placement(self.at(at))

    def _polyline(self, path: ArcPath, closed: bool, layer: str) -> None:
        rows = [(*self.at(point), bulge) for point, bulge in path]
        self.space.add_lwpolyline(rows, format="xyb", close=closed, dxfattribs={"layer": layer})


def _document(unit: Unit) -> Any:
    from ezdxf.filemanagement import new

    document = new("R2010")
    factor = FACTORS["length"][unit]
    document.units = 4 if unit == "mm" else 1
    document.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
    document.header["$PDMODE"], document.header["$PDSIZE"] = 2, 10.0 / factor
    document.styles.add("NOTES", font="arial.ttf")
    for name, pattern, _ in LINES.values():
        if pattern:
            lengths = [abs(p) / factor for p in pattern]
            signed = [length if p > 0 else -length for length, p in zip(lengths, pattern, strict=True)]
            document.linetypes.add(name, [sum(lengths), *signed])
    return document


def _add_layer(document: Any, name: str, layer: Layer) -> None:
    kind, _, weight = LINES[layer.line]
    row = document.layers.add(name, color=7, linetype=kind, lineweight=weight)
    # Black is left to the reader, who shows colour 7 white on a dark sheet.
    if layer.colour != (0, 0, 0):
        row.rgb = layer.colour


def _add_notes(document: Any, pen: _Pen, notes: Sequence[str]) -> None:
    from ezdxf import bbox

    box = bbox.extents(document.modelspace(), fast=True)
    if not box.has_data:
        return
    (x0, y0, _), (x1, y1, _) = box.extmin, box.extmax
    size = max(x1 - x0, y1 - y0) * pen.factor / 80
    corner = complex(x0, y0) * pen.factor
    lines = [line for note in notes for line in textwrap.wrap(note, NOTE_WIDTH)]
    for k, line in enumerate(lines):
        pen.write(corner - 1j * size * (4 + 1.8 * k), line, size)
    document.set_modelspace_vport(height=1.3 * max(x1 - x0, y1 - y0), center=((x0 + x1) / 2, (y0 + y1) / 2))


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Make the writer leave out the time and random identifiers: equal input, equal bytes."""
    from ezdxf import options  # type: ignore[attr-defined]  # public, only not marked as exported

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
