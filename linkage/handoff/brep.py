"""Bodies for the CAD file, built with the CAD library (extra ``cad``): prisms over fitted slabs, fused if safe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from linkage.handoff.arcs import ArcPath, ArcPolygon, arc_centre, fit_region
from linkage.handoff.model import HandoffError, NamedSolid
from linkage.handoff.stack import stacked

VOLUME_AGREES = 1e-7
"""Relative. Fusing must not change the volume by more."""

MOST_PIECES_FUSED = 3000
"""Lines and arcs. Fusing more takes longer than it is worth."""


@dataclass(frozen=True)
class Prism:
    """One fitted piece between two butt lines."""

    piece: ArcPolygon
    bl_lo: float
    bl_hi: float

    @property
    def volume(self) -> float:
        """Exact, mm3."""
        return self.piece.area * (self.bl_hi - self.bl_lo)


def prisms_of(solid: NamedSolid, tolerance: float) -> list[Prism]:
    """Fitted prisms of the solid, none overlapping another."""
    return [Prism(p, s.bl_lo, s.bl_hi) for s in stacked(solid) for p in fit_region(s.region, tolerance)]


def body_of(solid: NamedSolid, tolerance: float) -> Any:
    """A valid body of exactly the prisms' volume: one solid if they can be fused, else a compound of solids.

    Raises ``HandoffError`` if even a single prism does not come out valid and with its closed-form volume.
    """
    prisms = prisms_of(solid, tolerance)
    shapes = [_prism_shape(p) for p in prisms]
    for prism, shape in zip(prisms, shapes, strict=True):
        if not sound(shape, prism.volume):
            raise HandoffError(f"solid {solid.name!r}: no valid body between BL {prism.bl_lo} and {prism.bl_hi}")
    total = sum(p.volume for p in prisms)
    pieces = sum(len(path) for p in prisms for path in (p.piece.outer, *p.piece.holes))
    fused = _fused(shapes, total) if pieces <= MOST_PIECES_FUSED else None
    return fused if fused is not None else _compound(shapes)


def sound(shape: Any, volume: float) -> bool:
    """True if the CAD library finds the shape valid and of this volume, mm3."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    return bool(BRepCheck_Analyzer(shape).IsValid()) and abs(volume_of(shape) - volume) <= VOLUME_AGREES * volume


def volume_of(shape: Any) -> float:
    """Volume, mm3, + if faces look outward."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def solids_in(shape: Any) -> list[Any]:
    """The solids that a shape is made of."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    found, explorer = [], TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def _fused(shapes: Sequence[Any], volume: float) -> Any | None:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
    from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain

    layer = list(shapes)
    # Neighbours first, then pairs of pairs: each prism is cut a few times only, not once per prism.
    while len(layer) > 1:
        fuses = [BRepAlgoAPI_Fuse(a, b) for a, b in zip(layer[::2], layer[1::2], strict=False)]
        if not all(fuse.IsDone() for fuse in fuses):
            return None
        layer = [fuse.Shape() for fuse in fuses] + layer[len(fuses) * 2 :]
    whole = layer[0]
    if not sound(whole, volume):
        return None
    unify = ShapeUpgrade_UnifySameDomain(whole, True, True, False)
    unify.Build()
    if sound(unify.Shape(), volume):
        whole = unify.Shape()
    solids = solids_in(whole)
    return solids[0] if len(solids) == 1 else whole


def _compound(shapes: Sequence[Any]) -> Any:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    whole, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(whole)
    for shape in shapes:
        builder.Add(whole, shape)
    return whole


def _prism_shape(prism: Prism) -> Any:
    """Face in the plane of the lower butt line, pulled along +BL. Its normal is -BL: FS and WL turn about -BL."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt, gp_Vec

    bl = prism.bl_lo
    plane = gp_Pln(gp_Ax3(gp_Pnt(0.0, bl, 0.0), gp_Dir(0.0, -1.0, 0.0), gp_Dir(1.0, 0.0, 0.0)))
    face = BRepBuilderAPI_MakeFace(plane, _wire(prism.piece.outer, bl))
    for hole in prism.piece.holes:
        face.Add(_wire(hole, bl))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, prism.bl_hi - bl, 0.0)).Shape()


def _wire(path: ArcPath, bl: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

    def point(z: complex) -> Any:
        return gp_Pnt(z.real, bl, z.imag)

    corners = [BRepBuilderAPI_MakeVertex(point(z)).Vertex() for z, _ in path]
    wire = BRepBuilderAPI_MakeWire()
    for k, (a, bulge) in enumerate(path):
        follower = (k + 1) % len(path)
        if bulge == 0.0:
            edge = BRepBuilderAPI_MakeEdge(corners[k], corners[follower])
        else:
            centre, radius = arc_centre(a, path[follower][0], bulge)
            # Anticlockwise in (FS, WL) is a right-hand turn about -BL.
            axis, start = gp_Dir(0.0, -1.0 if bulge > 0 else 1.0, 0.0), a - centre
            circle = gp_Circ(gp_Ax2(point(centre), axis, gp_Dir(start.real, 0.0, start.imag)), abs(radius))
            edge = BRepBuilderAPI_MakeEdge(circle, corners[k], corners[follower])
        wire.Add(edge.Edge())
    return wire.Wire()
