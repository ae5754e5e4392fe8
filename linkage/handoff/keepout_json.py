"""keep-out.json: the exact slabs, for programs. All lengths in mm, whatever unit the drawings are in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely
from shapely.geometry import MultiPolygon, Polygon

from linkage.handoff import jsonio
from linkage.handoff.arcs import polygons_of
from linkage.handoff.model import HandOff, HandoffError, NamedSolid, Provenance, Slab
from linkage.handoff.stack import Measures, measured, stacked

FORMAT = "noseleg keep-out 1"


@dataclass(frozen=True)
class KeepOutFile:
    """What a keep-out.json says. ``measures`` are the written ones, by solid name."""

    head: dict[str, Any]
    solids: tuple[NamedSolid, ...]
    measures: dict[str, Measures]


def keep_out_text(handoff: HandOff) -> str:
    """The file's text. Rings carry every digit, so that reading gives the very same slabs."""
    head = {
        "format": FORMAT,
        **provenance_fields(handoff.provenance),
        "length_unit": "mm",
        "ring_note": "rings are lists of [FS, WL]; the last point joins the first; holes are not part of the solid",
    }
    lines = [f" {jsonio.text(key)}: {jsonio.text(value)}," for key, value in head.items()]
    solids = [_solid_text(s, "keep-out" if k == 0 else "zone") for k, s in enumerate(handoff.solids)]
    return "{\n" + "\n".join(lines) + '\n "solids": [\n' + ",\n".join(solids) + "\n ]\n}\n"


def provenance_fields(provenance: Provenance) -> dict[str, Any]:
    """Provenance as JSON fields, the same in every JSON file of the package."""
    changes = {"changes": list(provenance.changes)} if provenance.changes else {}
    return {
        "tool_version": provenance.tool_version,
        "study": {"name": provenance.study_name, "sha256": provenance.study_sha256} | changes,
        "frame": provenance.frame,
        "drawing_unit": provenance.units,
        "states": list(provenance.states),
        "allowance_mm": provenance.allowance_mm,
        "tolerance_mm": provenance.tolerance_mm,
        "guarantee": provenance.guarantee,
        "cautions": list(provenance.cautions),
    }


def measure_fields(measures: Measures) -> dict[str, Any]:
    """Measures as JSON fields."""
    return {
        "volume_mm3": measures.volume_mm3,
        "side_area_mm2": measures.side_area_mm2,
        "bounds_mm": list(measures.bounds_mm),
    }


def read_keep_out(path: Path) -> KeepOutFile:
    """Read and check a keep-out.json. Raises ``HandoffError`` with what is wrong."""
    head = jsonio.read_object(path)
    if head.get("format") != FORMAT:
        raise HandoffError(f"{path.name}: format {head.get('format')!r}, expected {FORMAT!r}")
    try:
        rows = head.pop("solids")
        solids = tuple(_solid_of(row) for row in rows)
        measures = {str(row["name"]): measures_of(row) for row in rows}
    except (KeyError, TypeError, ValueError, IndexError, shapely.errors.ShapelyError) as fault:
        raise HandoffError(f"{path.name}: broken solid: {fault!r}") from fault
    if not solids:
        raise HandoffError(f"{path.name}: no solids")
    return KeepOutFile(head, solids, measures)


def measures_of(row: dict[str, Any]) -> Measures:
    """Measures from JSON fields; raises ``KeyError``, ``TypeError`` or ``ValueError``."""
    lo_fs, lo_bl, lo_wl, hi_fs, hi_bl, hi_wl = (float(v) for v in row["bounds_mm"])
    bounds = (lo_fs, lo_bl, lo_wl, hi_fs, hi_bl, hi_wl)
    return Measures(float(row["volume_mm3"]), float(row["side_area_mm2"]), bounds)


def _solid_text(solid: NamedSolid, role: str) -> str:
    head = {"name": solid.name, "role": role, "colour": list(solid.colour), "opacity": solid.opacity}
    head |= measure_fields(measured(solid))
    slabs = [jsonio.text(_slab_fields(slab)) for slab in stacked(solid)]
    return f"  {jsonio.text(head)[:-1]},\n" + '   "slabs":[\n    ' + ",\n    ".join(slabs) + "]}"


def _slab_fields(slab: Slab) -> dict[str, Any]:
    polygons = [
        {"outer": _ring(p.exterior), "holes": [_ring(hole) for hole in p.interiors]} for p in polygons_of(slab.region)
    ]
    return {
        "bl_lo_mm": slab.bl_lo,
        "bl_hi_mm": slab.bl_hi,
        "area_mm2": slab.region.area,
        "polygons": polygons,
    }


def _ring(ring: Any) -> list[list[float]]:
    return [[float(x), float(y)] for x, y in shapely.get_coordinates(ring)[:-1]]


def _solid_of(row: dict[str, Any]) -> NamedSolid:
    red, green, blue = (int(v) for v in row["colour"])
    slabs = tuple(
        Slab(float(slab["bl_lo_mm"]), float(slab["bl_hi_mm"]), _region_of(slab["polygons"])) for slab in row["slabs"]
    )
    return NamedSolid(str(row["name"]), (red, green, blue), slabs, float(row["opacity"]))


def _region_of(polygons: list[dict[str, Any]]) -> MultiPolygon | Polygon:
    shapes = [Polygon(p["outer"], p["holes"]) for p in polygons]
    return shapes[0] if len(shapes) == 1 else MultiPolygon(shapes)
