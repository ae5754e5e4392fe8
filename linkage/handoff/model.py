"""What is handed over: plain, frozen, complete. Lengths in mm, side view as complex ``FS + 1j*WL``, BL + right wing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from shapely.geometry.base import BaseGeometry

from linkage.errors import LinkageError

FRAME = "FS + aft, BL + right wing, WL + up; side view is (FS, WL); solids carry x = FS, y = BL, z = WL"

Unit: TypeAlias = Literal["mm", "in"]
Rgb: TypeAlias = tuple[int, int, int]
LineKind: TypeAlias = Literal["thick", "thin", "phantom", "centre", "hidden"]


class HandoffError(LinkageError):
    """A file cannot be written or read as promised. The message names the thing and what was expected."""


@dataclass(frozen=True)
class Slab:
    """Everything between two butt lines: ``region`` is a Polygon or MultiPolygon in (FS, WL), mm."""

    bl_lo: float
    bl_hi: float
    region: BaseGeometry


@dataclass(frozen=True)
class NamedSolid:
    """One solid. Slabs may lie on one another or overlap in BL; where they overlap the solid is their union."""

    name: str
    colour: Rgb
    slabs: tuple[Slab, ...]
    opacity: float = 1.0
    """1 = opaque. Used by the viewer file (GLB) only."""


@dataclass(frozen=True)
class Line:
    """Straight pieces through ``points``."""

    points: tuple[complex, ...]
    closed: bool = False


@dataclass(frozen=True)
class Area:
    """Boundary of a Polygon or MultiPolygon, written as lines and true arcs that never lie inside it."""

    region: BaseGeometry


@dataclass(frozen=True)
class Circle:
    """A full circle, exact."""

    centre: complex
    radius: float


@dataclass(frozen=True)
class Mark:
    """A point, with a small cross drawn by the reader."""

    at: complex


@dataclass(frozen=True)
class Label:
    """Text that starts at ``at``; ``height`` in mm."""

    at: complex
    text: str
    height: float = 12.0


Entity: TypeAlias = Line | Area | Circle | Mark | Label


@dataclass(frozen=True)
class Layer:
    """One thing of the drawing: its name becomes the layer name."""

    name: str
    entities: tuple[Entity, ...]
    colour: Rgb = (0, 0, 0)
    line: LineKind = "thin"


@dataclass(frozen=True)
class Pin:
    """A pin, gear down and gear up (side view, mm)."""

    name: str
    down: complex
    up: complex


@dataclass(frozen=True)
class Provenance:
    """Where the numbers come from and what they promise; printed into every file that has room for it."""

    tool_version: str
    study_name: str
    study_sha256: str
    """Of the file; ``changes``: what was changed after it was read, each as ``path=value``."""
    units: Unit
    states: tuple[str, ...]
    allowance_mm: float
    tolerance_mm: float
    cautions: tuple[str, ...]
    guarantee: str
    frame: str = FRAME
    changes: tuple[str, ...] = ()

    @property
    def changed(self) -> str:
        """The changes in words, empty without any."""
        return f", changed by {', '.join(self.changes)}" if self.changes else ""


@dataclass(frozen=True)
class HandOff:
    """The whole package. ``zones`` are further solids (inner zone, hot zone, bay items, gear) beside the keep-out."""

    keep_out: NamedSolid
    provenance: Provenance
    zones: tuple[NamedSolid, ...] = ()
    layers: tuple[Layer, ...] = ()
    pins: tuple[Pin, ...] = ()
    station_step: float | None = None
    """Distance of the stations in the table, in the package's unit; 25 mm or 1 in if not given."""
    fit_tolerance_mm: float = 0.05
    """Most that fitted arcs and thinned meshes may lie outside the slabs."""

    @property
    def solids(self) -> tuple[NamedSolid, ...]:
        """Keep-out first."""
        return (self.keep_out, *self.zones)


def unique_names(names: Iterable[str]) -> list[str]:
    """The same names, later repeats numbered, so that no reader merges or drops one."""
    seen: set[str] = set()
    out = []
    for name in names:
        candidate, count = name, 1
        while candidate.casefold() in seen:
            count += 1
            candidate = f"{name} ({count})"
        seen.add(candidate.casefold())
        out.append(candidate)
    return out
