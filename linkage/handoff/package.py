"""The whole hand-off: every file written into a draft folder, fingerprinted, and put in place in one go."""

from __future__ import annotations

import cmath
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

from linkage.beside import Beside, Piece, beside
from linkage.files import write_whole
from linkage.folders import staged
from linkage.handoff.keepout_json import keep_out_text
from linkage.handoff.manifest import CONTENTS, NAME, manifest_text
from linkage.handoff.model import Area, HandOff, HandoffError, Layer, Mark, Provenance, unique_names
from linkage.handoff.stack import side_view, stacked

Files: TypeAlias = dict[str, bytes]
KEEP_OUT_LAYER = "KEEP-OUT"
PINS_LAYER = "PINS"
STATION_STEP = {"mm": 25.0, "in": 1.0}


@dataclass(frozen=True)
class Written:
    """Files of a finished package, and those left out with the reason."""

    folder: Path
    files: tuple[str, ...]
    left_out: Mapping[str, str]


def write_package(
    folder: Path,
    handoff: HandOff,
    more: Mapping[str, bytes] | None = None,
    progress: Callable[[str], None] = lambda name: None,
    files: Mapping[str, Piece[Files]] | None = None,
) -> Written:
    """Write the package into ``folder``; ``more`` are further files (name -> bytes) that belong to it; ``files``: those
    of the hand-off, where they were `begun` already.

    Nothing in ``folder`` changes unless everything succeeded. Without the extra ``cad`` the STEP file is left out and
    the manifest says why. ``progress`` is called with the name of each file before it is made.
    """
    handoff = checked(handoff)
    if any(Path(name).name != name or name in (*CONTENTS, NAME) for name in more or {}):
        raise HandoffError(f"further files need plain names of their own, got {sorted(more or {})}")
    with beside() as here, staged(folder, NAME, CONTENTS) as draft:
        left_out = write_files(draft, begun(handoff, here) if files is None else files, progress)
        for name, content in (more or {}).items():
            write_whole(draft / name, content)
        progress(NAME)
        write_whole(draft / NAME, manifest_text(handoff, draft, left_out))
        names = (*(n for n in CONTENTS if (draft / n).exists()), *sorted(more or {}), NAME)
    return Written(folder, names, left_out)


def begun(handoff: HandOff, helpers: Beside) -> dict[str, Piece[Files]]:
    """The making of each file, given out; name as in the manifest -> what is made, some beside it."""
    return {name: helpers.begin(make, handoff) for name, make in MAKERS.items()}


def write_files(
    folder: Path, files: Mapping[str, Piece[Files]], progress: Callable[[str], None] = lambda name: None
) -> dict[str, str]:
    """Write the hand-off files without manifest; returns what was left out and why."""
    from linkage.handoff.step import CadMissingError

    left_out: dict[str, str] = {}
    for name, made in files.items():
        progress(name)
        try:
            contents = made.result()
        except CadMissingError as missing:
            left_out[name] = str(missing)
            continue
        for file, content in contents.items():
            write_whole(folder / file, content)
    return left_out


def checked(handoff: HandOff) -> HandOff:
    """The hand-off with names that no reader mixes up. Raises ``HandoffError`` for what no file could say."""
    _refuse_bad(handoff)
    return _uniquely_named(handoff)


def _refuse_bad(handoff: HandOff) -> None:
    provenance = handoff.provenance
    if provenance.units not in STATION_STEP:
        raise HandoffError(f"unit {provenance.units!r}, expected mm or in")
    if not re.fullmatch(r"[0-9a-f]{64}", provenance.study_sha256):
        raise HandoffError(f"SHA-256 of the study must be 64 hexadecimal digits, got {provenance.study_sha256!r}")
    lengths = {
        "allowance": provenance.allowance_mm,
        "tolerance": provenance.tolerance_mm,
        "fit tolerance": handoff.fit_tolerance_mm,
        "station step": handoff.station_step or STATION_STEP[provenance.units],
    }
    for name, value in lengths.items():
        if not math.isfinite(value) or value < 0 or (value == 0 and name in ("fit tolerance", "station step")):
            raise HandoffError(f"{name} must be a positive length, got {value}")
    for pin in handoff.pins:
        if not (cmath.isfinite(pin.down) and cmath.isfinite(pin.up)):
            raise HandoffError(f"pin {pin.name!r} has no finite place: down {pin.down}, up {pin.up}")


def _uniquely_named(handoff: HandOff) -> HandOff:
    names = unique_names(s.name for s in handoff.solids)
    solids = [replace(s, name=n) for s, n in zip(handoff.solids, names, strict=True)]
    return replace(handoff, keep_out=solids[0], zones=tuple(solids[1:]))


def _json(handoff: HandOff) -> Files:
    return {"keep-out.json": keep_out_text(handoff).encode()}


def _dxf(handoff: HandOff) -> Files:
    from linkage.handoff.dxf import dxf_bytes

    provenance = handoff.provenance
    keep_out = Area(side_view(stacked(handoff.keep_out)))
    layers = [Layer(KEEP_OUT_LAYER, (keep_out,), handoff.keep_out.colour, "phantom"), *handoff.layers]
    if handoff.pins:
        marks = tuple(Mark(at) for pin in handoff.pins for at in (pin.down, pin.up))
        layers.append(Layer(PINS_LAYER, marks, line="centre"))
    return {"keep-out.dxf": dxf_bytes(layers, provenance.units, notes(provenance), handoff.fit_tolerance_mm)}


def notes(provenance: Provenance) -> list[str]:
    """Lines of text that say what a drawing shows and promises."""
    return [
        f"{provenance.study_name}, SHA-256 {provenance.study_sha256[:16]}{provenance.changed}, "
        f"noseleg {provenance.tool_version}",
        provenance.frame,
        "states: " + "; ".join(provenance.states),
        f"drawn in {provenance.units}",
        f"allowance {provenance.allowance_mm:g} mm, tolerance {provenance.tolerance_mm:g} mm",
        provenance.guarantee,
        *(f"caution: {line}" for line in provenance.cautions),
    ]


def _meshes(handoff: HandOff) -> Files:
    from linkage.handoff.glb import glb_bytes
    from linkage.handoff.solids import mesh_of
    from linkage.handoff.stl import stl_bytes

    meshes = [mesh_of(s, handoff.fit_tolerance_mm) for s in handoff.solids]
    return {
        "keep-out.stl": stl_bytes(meshes[0], handoff.provenance.study_sha256, bool(handoff.provenance.changes)),
        "keep-out.glb": glb_bytes(meshes, handoff.solids, handoff.provenance),
    }


def _tables(handoff: HandOff) -> Files:
    from linkage.handoff.tables import pin_table, station_table

    unit = handoff.provenance.units
    step = handoff.station_step or STATION_STEP[unit]
    return {
        "stations.csv": station_table(stacked(handoff.keep_out), step, unit).encode(),
        "pins.csv": pin_table(handoff.pins, unit).encode(),
    }


def _step(handoff: HandOff) -> Files:
    from linkage.handoff.step import step_bytes

    return {"keep-out.step": step_bytes(handoff.solids, handoff.provenance, handoff.fit_tolerance_mm)}


MAKERS: dict[str, Callable[[HandOff], Files]] = {
    "keep-out.step": _step,
    "keep-out.dxf": _dxf,
    "keep-out.stl": _meshes,
    "stations.csv": _tables,
    "keep-out.json": _json,
}
"""Files and what makes them, the slowest first."""
