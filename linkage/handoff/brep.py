"""Bodies for the CAD file, built and checked with the CAD library (extra ``cad``)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from linkage.handoff.arcs import ArcPath, ArcPolygon, arc_centre, fit_region
from linkage.handoff.fitted import fitted_web
from linkage.handoff.model import HandoffError, NamedSolid, Slab
from linkage.handoff.shell import shells_of
from linkage.handoff.stack import stacked

VOLUME_AGREES = 1e-7
"""Relative, between the CAD library and the closed form."""


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
    """A valid body that encloses the slabs and lies at most ``tolerance`` mm outside them.

    One solid for each piece that hangs together. Where that cannot be had (slabs that touch in a line only, fits that
    cannot be certified together), a compound of one solid per slab and piece: less tidy and just as true. Raises
    ``HandoffError`` if even a single prism does not come out valid and with its closed-form volume.
    """
    whole = _whole(stacked(solid), tolerance)
    if whole is not None:
        return whole
    prisms = prisms_of(solid, tolerance)
    shapes = [_prism_shape(p) for p in prisms]
    for prism, shape in zip(prisms, shapes, strict=True):
        if not sound(shape, prism.volume):
            raise HandoffError(f"solid {solid.name!r}: no valid body between BL {prism.bl_lo} and {prism.bl_hi}")
    return _compound(shapes)


def sound(shape: Any, volume: float) -> bool:
    """True if the CAD library finds the shape valid and of this volume, mm3."""
    return valid(shape) and abs(volume_of(shape) - volume) <= VOLUME_AGREES * volume


def valid(shape: Any) -> bool:
    """What the CAD library's own check says."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    return bool(BRepCheck_Analyzer(shape).IsValid())


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


def _whole(slabs: Sequence[Slab], tolerance: float) -> Any | None:
    """Solids made of shared faces and edges, or ``None`` if that fails or is not sound."""
    web = fitted_web(slabs, tolerance)
    shells = None if web is None else shells_of(web, slabs)
    if web is None or shells is None:
        return None
    volume = sum(p.area * (s.bl_hi - s.bl_lo) for k, s in enumerate(slabs) for p in web.slab(k))
    found = [volume_of(shell) for shell in shells]
    if abs(math.fsum(found) - volume) > VOLUME_AGREES * volume:
        return None
    outer = [shell for shell, enclosed in zip(shells, found, strict=True) if enclosed > 0]
    pockets = [shell for shell, enclosed in zip(shells, found, strict=True) if enclosed <= 0]
    # With several bodies it would have to be found out in which one a pocket is.
    if not outer or (pockets and len(outer) > 1):
        return None
    solids = [_solid([shell, *pockets]) for shell in outer]
    body = solids[0] if len(solids) == 1 else _compound(solids)
    return body if valid(body) else None


def _solid(shells: Sequence[Any]) -> Any:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Solid

    solid, builder = TopoDS_Solid(), BRep_Builder()
    builder.MakeSolid(solid)
    for shell in shells:
        builder.Add(solid, shell)
    return solid


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
