"""Is a package what it says? Every file is read again, where possible by another reader, and compared with the rest."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from linkage.handoff import readers
from linkage.handoff.checks import (
    Check,
    between,
    body_checks,
    encloses,
    measure_checks,
    same,
    table_check,
)
from linkage.handoff.jsonio import LIMIT_BYTES
from linkage.handoff.keepout_json import KeepOutFile, measures_of, read_keep_out
from linkage.handoff.manifest import CONTENTS, NAME, fingerprint, read_manifest
from linkage.handoff.model import HandoffError, NamedSolid, Rgb
from linkage.handoff.package import KEEP_OUT_LAYER
from linkage.handoff.stack import side_view, stacked
from linkage.units import FACTORS

HEAD = (
    "tool_version",
    "study",
    "frame",
    "drawing_unit",
    "states",
    "allowance_mm",
    "tolerance_mm",
    "guarantee",
    "cautions",
)
"""What keep-out.json and the manifest both say."""

COLOUR_STEPS = 2
"""Of 255. Colours are stored as fractions and rounded by readers."""


def verify(folder: Path, study_path: Path | None = None) -> list[Check]:
    """All comparisons of a package; good if no ``passed`` is ``False``. Never raises for what it finds in the folder.

    Compares fingerprints of all files and of the study, the head of keep-out.json with the manifest, and
    area, volume, bounds, units, names and colours of every geometry file with the exact slabs.
    """
    try:
        manifest = read_manifest(folder)
    except HandoffError as fault:
        return [Check(NAME, False, str(fault), "a finished package")]
    checks = [_study(manifest, study_path), *_fingerprints(folder, manifest)]
    try:
        keep_out = read_keep_out(folder / "keep-out.json")
        checks += _json_checks(manifest, keep_out)
    except HandoffError as fault:
        return [
            *checks,
            Check("keep-out.json", False, str(fault), "readable: nothing else can be compared without it"),
        ]
    tolerance = manifest.get("fit_tolerance_mm")
    if not isinstance(tolerance, int | float) or not 0 < tolerance < 10:
        return [*checks, Check(f"{NAME}: fit_tolerance_mm", False, str(tolerance), "a small length")]
    unit = manifest["drawing_unit"]
    comparisons: dict[str, Callable[[Path], list[Check]]] = {
        "keep-out.stl": lambda path: _stl(path, keep_out.solids[0], tolerance),
        "keep-out.glb": lambda path: _glb(path, keep_out.solids, tolerance),
        "keep-out.dxf": lambda path: _dxf(path, keep_out.solids[0], unit, tolerance),
        "keep-out.step": lambda path: _step(path, keep_out.solids, unit, tolerance),
        "stations.csv": lambda path: _stations(path, keep_out.solids[0], unit),
        "pins.csv": lambda path: _pins(path, unit),
    }
    for name, compare in comparisons.items():
        checks += _guarded(folder, name, manifest, compare)
    return checks


def _study(manifest: dict[str, Any], study_path: Path | None) -> Check:
    subject, expected = "study", str(manifest["study"].get("sha256"))
    if study_path is None:
        return Check(subject, None, "not compared: no study given", expected)
    try:
        found = same(subject, fingerprint(study_path), expected)
    except OSError as fault:
        return Check(subject, False, f"cannot be read: {fault.strerror}", expected)
    changes = manifest["study"].get("changes")
    if found.passed and changes:
        said = ", ".join(map(str, changes)) if isinstance(changes, list) else str(changes)
        return Check(subject, False, f"that file, but changed by {said}", "the file as it is")
    return found


def _fingerprints(folder: Path, manifest: dict[str, Any]) -> list[Check]:
    checks = []
    for name, said in manifest["files"].items():
        expected = str(said.get("sha256")) if isinstance(said, dict) else "?"
        path = folder / name
        # A manifest from elsewhere must not make us read outside the folder.
        if Path(name).name != name or path.is_symlink() or not path.is_file():
            checks.append(Check(f"{name}: SHA-256", False, "no such file", expected))
        else:
            checks.append(same(f"{name}: SHA-256", fingerprint(path), expected))
    strays = sorted(set(CONTENTS) - {*manifest["files"], NAME})
    found = [name for name in strays if (folder / name).exists()]
    return checks + [Check(f"{n}: SHA-256", False, "the file is there", "not listed in the manifest") for n in found]


def _json_checks(manifest: dict[str, Any], keep_out: KeepOutFile) -> list[Check]:
    checks = [same(f"keep-out.json: {key}", keep_out.head.get(key), manifest.get(key)) for key in HEAD]
    checks.append(same("keep-out.json: solids", [s.name for s in keep_out.solids], list(manifest["solids"])))
    for solid in keep_out.solids:
        checks += measure_checks("keep-out.json", solid.name, keep_out.measures[solid.name], solid)
        try:
            checks += measure_checks(NAME, solid.name, measures_of(manifest["solids"][solid.name]), solid)
        except (KeyError, TypeError, ValueError) as fault:
            checks.append(Check(f"{NAME}: {solid.name}", False, repr(fault), "volume, area and bounds"))
    return checks


def _guarded(folder: Path, name: str, manifest: dict[str, Any], compare: Callable[[Path], list[Check]]) -> list[Check]:
    path = folder / name
    if name not in manifest["files"] or not path.is_file():
        reason = manifest.get("left_out", {}).get(name, "not part of this package")
        return [Check(name, None, f"not compared: {reason}")]
    if path.stat().st_size > LIMIT_BYTES:
        return [Check(name, False, f"{path.stat().st_size} bytes", f"at most {LIMIT_BYTES}")]
    try:
        return compare(path)
    except ImportError as missing:
        return [Check(name, None, f"not compared: {missing}")]
    except Exception as fault:  # a broken file makes its reader raise anything at all, and that is the finding
        return [Check(name, False, f"cannot be read: {type(fault).__name__}: {fault}", "readable")]


def _stl(path: Path, solid: NamedSolid, tolerance: float) -> list[Check]:
    unit, own = readers.read_stl(path)
    other = readers.read_stl_elsewhere(path)
    checks = [same(f"{path.name}: unit", unit, "mm"), *body_checks(path.name, own, solid, tolerance)]
    return checks + body_checks(f"{path.name} (trimesh)", other, solid, tolerance)


def _glb(path: Path, solids: tuple[NamedSolid, ...], tolerance: float) -> list[Check]:
    named = {s.name: s for s in solids}
    return _bodies(path.name, readers.read_glb(path), named, tolerance + 1e-4)


def _step(path: Path, solids: tuple[NamedSolid, ...], unit: str, tolerance: float) -> list[Check]:
    from linkage.handoff.step import product_names, require_cad

    require_cad()
    found, bodies = readers.read_step(path)
    named = dict(zip(product_names(solids), solids, strict=True))
    return [same(f"{path.name}: unit", found, unit), *_bodies(path.name, bodies, named, tolerance)]


def _bodies(file: str, bodies: list[readers.Body], solids: dict[str, NamedSolid], tolerance: float) -> list[Check]:
    """Every body of a file against the solid of its name; ``solids`` by the name that the file gives them."""
    by_name = {body.name: body for body in bodies}
    checks = [
        same(f"{file}: solids", sorted(by_name), sorted(solids)),
        same(f"{file}: bodies", len(bodies), len(solids)),
    ]
    for name, solid in solids.items():
        if name in by_name:
            body = by_name[name]
            checks += body_checks(file, body, solid, tolerance)
            near = body.colour is not None and _near(body.colour, solid.colour)
            checks.append(Check(f"{file}: {solid.name}: colour", near, str(body.colour), str(solid.colour)))
    return checks


def _near(a: Rgb, b: Rgb) -> bool:
    return all(abs(x - y) <= COLOUR_STEPS for x, y in zip(a, b, strict=True))


def _dxf(path: Path, solid: NamedSolid, unit: str, tolerance: float) -> list[Check]:
    drawing = readers.read_dxf(path, KEEP_OUT_LAYER)
    side = side_view(stacked(solid))
    most = side.buffer(1.01 * tolerance).area
    # Both the reader's flattening and the unit move the boundary by less than this.
    covered = drawing.region.buffer(2e-4).covers(side)
    return [
        same(f"{path.name}: unit", drawing.unit, unit),
        same(f"{path.name}: audit", list(drawing.complaints), []),
        between(f"{path.name}: area, mm2", drawing.region.area, side.area, most),
        encloses(f"{path.name}: bounds, mm", drawing.region.bounds, side.bounds, tolerance),
        Check(f"{path.name}: encloses the side view", covered, "yes" if covered else "no", "yes"),
    ]


def _stations(path: Path, solid: NamedSolid, unit: str) -> list[Check]:
    head, rows = readers.read_table(path)
    columns = [f"{c}_{unit}" for c in ("bl_from", "bl_to", "fs_from", "fs_to", "wl_bottom", "wl_top")]
    table = table_check(path.name, head, rows, stacked(solid), FACTORS["length"].get(unit, 1.0))
    return [same(f"{path.name}: columns", head, columns), table]


def _pins(path: Path, unit: str) -> list[Check]:
    head, rows = readers.read_table(path)
    columns = ["pin", *(f"{c}_{unit}" for c in ("fs_down", "wl_down", "fs_up", "wl_up"))]
    numbers = [float(cell) for row in rows for cell in row[1:]]
    finite = all(abs(v) < 1e6 for v in numbers)
    return [
        same(f"{path.name}: columns", head, columns),
        Check(f"{path.name}: numbers", finite, f"{len(rows)} pins", "finite"),
    ]
