"""manifest.json: what the package holds, where it comes from, what it promises, and a fingerprint of every file."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linkage.handoff import jsonio
from linkage.handoff.keepout_json import measure_fields, provenance_fields
from linkage.handoff.model import HandOff, HandoffError
from linkage.handoff.stack import measured

NAME = "manifest.json"
FORMAT = "noseleg hand-off 1"

FIT_NOTE = (
    "lines and arcs in STEP and DXF, and the meshes, never lie inside the exact slabs of keep-out.json, and at most "
    "fit_tolerance_mm outside them"
)

CONTENTS = {
    "keep-out.step": "solids with planes and cylinders, named and coloured",
    "keep-out.stl": "keep-out as a closed mesh, mm",
    "keep-out.glb": "all solids for a viewer, metres, Y up",
    "keep-out.dxf": "side view, one layer per thing, true arcs",
    "keep-out.json": "exact slabs, mm",
    "stations.csv": "bottom and top waterline of the keep-out by station and slab",
    "pins.csv": "every pin, gear down and gear up",
}
"""The files of a package, in the order in which they are listed."""


def fingerprint(path: Path) -> str:
    """SHA-256 of a file, hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def manifest_text(handoff: HandOff, folder: Path, left_out: Mapping[str, str]) -> str:
    """Manifest of all files now in ``folder``. ``left_out``: file name -> why it is not there."""
    known = [name for name in CONTENTS if (folder / name).exists()]
    others = sorted(p.name for p in folder.iterdir() if p.is_file() and p.name not in (*CONTENTS, NAME))
    files = {
        name: {
            "what": CONTENTS.get(name, ""),
            "bytes": (folder / name).stat().st_size,
            "sha256": fingerprint(folder / name),
        }
        for name in [*known, *others]
    }
    fields = {
        "format": FORMAT,
        **provenance_fields(handoff.provenance),
        "fit_tolerance_mm": handoff.fit_tolerance_mm,
        "fit_note": FIT_NOTE,
        "solids": {s.name: measure_fields(measured(s)) for s in handoff.solids},
        "files": files,
        "left_out": dict(left_out),
    }
    return jsonio.text(fields, indent=1) + "\n"


def read_manifest(folder: Path) -> dict[str, Any]:
    """Read a manifest. Raises ``HandoffError`` if it is missing, broken or of another kind."""
    path = folder / NAME
    if not path.exists():
        raise HandoffError(f"{NAME}: missing; the package was never finished or is not one")
    fields = jsonio.read_object(path)
    if fields.get("format") != FORMAT:
        raise HandoffError(f"{NAME}: format {fields.get('format')!r}, expected {FORMAT!r}")
    shaped = {"files": dict, "solids": dict, "study": dict, "left_out": dict, "states": list, "drawing_unit": str}
    for key, kind in shaped.items():
        if not isinstance(fields.get(key), kind):
            raise HandoffError(f"{NAME}: {key} is missing or broken")
    return fields
