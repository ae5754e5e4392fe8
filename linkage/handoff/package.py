"""The whole hand-off: every file written into a draft folder, fingerprinted, and put in place in one go."""

from __future__ import annotations

import cmath
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from linkage.files import write_whole
from linkage.folders import staged
from linkage.handoff.keepout_json import keep_out_text
from linkage.handoff.manifest import CONTENTS, NAME, manifest_text
from linkage.handoff.model import Area, HandOff, HandoffError, Layer, Mark, Provenance, unique_names
from linkage.handoff.stack import side_view, stacked

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
) -> Written:
    """Write the package into ``folder``; ``more`` are further files (name -> bytes) that belong to it.

    Nothing in ``folder`` changes unless everything succeeded. Without the extra ``cad`` the STEP file is left out and
    the manifest says why. ``progress`` is called with the name of each file before it is made.
    """
    _refuse_bad(handoff)
    handoff = _uniquely_named(handoff)
    if any(Path(name).name != name or name in (*CONTENTS, NAME) for name in more or {}):
        raise HandoffError(f"further files need plain names of their own, got {sorted(more or {})}")
    with staged(folder, NAME, CONTENTS) as draft:
        left_out = write_files(draft, handoff, progress)
        for name, content in (more or {}).items():
            write_whole(draft / name, content)
        progress(NAME)
        write_whole(draft / NAME, manifest_text(handoff, draft, left_out))
        names = (*(n for n in CONTENTS if (draft / n).exists()), *sorted(more or {}), NAME)
    return Written(folder, names, left_out)


def write_files(folder: Path, handoff: HandOff, progress: Callable[[str], None] = lambda name: None) -> dict[str, str]:
    """Write the hand-off files without manifest; returns what was left out and why."""
    left_out: dict[str, str] = {}
    makers: dict[str, Callable[[], Mapping[str, bytes]]] = {
        "keep-out.json": lambda: {"keep-out.json": keep_out_text(handoff).encode()},
        "keep-out.dxf": lambda: {"keep-out.dxf": _dxf(handoff)},
        "keep-out.stl": lambda: _meshes(handoff),
        "stations.csv": lambda: _tables(handoff),
        "keep-out.step": lambda: _step(handoff, left_out),
    }
    for name, make in makers.items():
        progress(name)
        for file, content in make().items():
            write_whole(folder / file, content)
    return left_out


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


def _dxf(handoff: HandOff) -> bytes:
    from linkage.handoff.dxf import dxf_bytes

    provenance = handoff.provenance
    keep_out = Area(side_view(stacked(handoff.keep_out)))
    layers = [Layer(KEEP_OUT_LAYER, (keep_out,), handoff.keep_out.colour, "phantom"), *handoff.layers]
    if handoff.pins:
        marks = tuple(Mark(at) for pin in handoff.pins for at in (pin.down, pin.up))
        layers.append(Layer(PINS_LAYER, marks, line="centre"))
    return dxf_bytes(layers, provenance.units, notes(provenance), handoff.fit_tolerance_mm)


def notes(provenance: Provenance) -> list[str]:
    """Lines of text that say what a drawing shows and promises."""
    return [
        f"{provenance.study_name}, SHA-256 {provenance.study_sha256[:16]}, noseleg {provenance.tool_version}",
        provenance.frame,
        "states: " + "; ".join(provenance.states),
        f"drawn in {provenance.units}",
        f"allowance {provenance.allowance_mm:g} mm, tolerance {provenance.tolerance_mm:g} mm",
        provenance.guarantee,
        *(f"caution: {line}" for line in provenance.cautions),
    ]


def _meshes(handoff: HandOff) -> dict[str, bytes]:
    from linkage.handoff.glb import glb_bytes
    from linkage.handoff.solids import mesh_of
    from linkage.handoff.stl import stl_bytes

    meshes = [mesh_of(s, handoff.fit_tolerance_mm) for s in handoff.solids]
    return {
        "keep-out.stl": stl_bytes(meshes[0], handoff.provenance.study_sha256),
        "keep-out.glb": glb_bytes(meshes, handoff.solids, handoff.provenance),
    }


def _tables(handoff: HandOff) -> dict[str, bytes]:
    from linkage.handoff.tables import pin_table, station_table

    unit = handoff.provenance.units
    step = handoff.station_step or STATION_STEP[unit]
    return {
        "stations.csv": station_table(stacked(handoff.keep_out), step, unit).encode(),
        "pins.csv": pin_table(handoff.pins, unit).encode(),
    }


def _step(handoff: HandOff, left_out: dict[str, str]) -> dict[str, bytes]:
    from linkage.handoff.step import CadMissingError, step_bytes

    try:
        return {"keep-out.step": step_bytes(handoff.solids, handoff.provenance, handoff.fit_tolerance_mm)}
    except CadMissingError as missing:
        left_out["keep-out.step"] = str(missing)
        return {}
