"""Bay items from files beside the study: found safely, read by kind, checked for size and unit."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

import shapely

from linkage.document.bay import BayItem
from linkage.document.study import Study
from linkage.obstacles.drawing import read_layer
from linkage.obstacles.model import Obstacle, Slice, UnusableFileError
from linkage.obstacles.solid import read_mesh, read_step
from linkage.obstacles.typed import made
from linkage.units import INCH

LARGEST = {".dxf": 20_000_000, ".stl": 50_000_000, ".step": 50_000_000, ".stp": 50_000_000}
"""Bytes. A DXF takes a second or two for every MB, a STEP file what its time allows, an STL a fraction of a second."""

READERS: dict[str, Callable[[Path, BayItem], Sequence[Slice]]] = {
    ".dxf": read_layer,
    ".stl": read_mesh,
    ".step": read_step,
    ".stp": read_step,
}


def from_file(item: BayItem, study: Study, folder: Path) -> list[Obstacle]:
    """The item's slices as obstacles. Raises `UnusableFileError` with what was found and what was expected."""
    path = _inside(folder, item.file or "")
    if path.suffix.lower() not in READERS:
        raise UnusableFileError(f"{path.name!r} has an unknown ending", f"one of {', '.join(READERS)}")
    size = path.stat().st_size
    if size > LARGEST[path.suffix.lower()]:
        most = f"at most {LARGEST[path.suffix.lower()] / 1e6:.0f} MB: only what the gear must miss"
        raise UnusableFileError(f"{path.name!r} has {size / 1e6:.0f} MB", most)
    slices = _read(path, _content(path), item)
    if not slices:
        raise UnusableFileError(f"{path.name!r} has no region in the side view", "a solid with a thickness")
    _check_place(slices, study, path.name)
    return [made(item, s.region, 0.0, ((s.bl_lo, s.bl_hi),) if s.bounded else item.butt_lines or ()) for s in slices]


def _inside(folder: Path, name: str) -> Path:
    home = folder.resolve()
    try:
        path = (home / name).resolve()
        there = path.is_file()
    except (OSError, ValueError, RuntimeError) as err:  # too long, a NUL in it, links in a circle
        raise UnusableFileError(f"{name!r} is no name of a file ({err})", f"a file in {home} or below") from err
    if not path.is_relative_to(home):
        raise UnusableFileError(f"{name!r} lies outside the study's folder", f"a file in {home} or below")
    if not there:
        raise UnusableFileError(f"{name!r} is not there", f"a file in {home} or below")
    return path


def _content(path: Path) -> str:
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError as err:
        raise UnusableFileError(f"{path.name!r} cannot be read ({err.strerror})", "a file that may be read") from err


@lru_cache(maxsize=32)
def _read(path: Path, _content: str, item: BayItem) -> Sequence[Slice]:
    """Kept by the file's content: a board or a trade study comes back to the same file again and again."""
    return READERS[path.suffix.lower()](path, item)


def _check_place(slices: Sequence[Slice], study: Study, name: str) -> None:
    """An item that is tiny or huge and far away, but would be near the gear in the other unit, is a mix-up of units."""
    leg = study.gear.leg.length
    fs, wl = study.gear.trunnion
    near = shapely.box(fs - 1.2 * leg, wl - 1.2 * leg, fs + 1.2 * leg, wl + 1.2 * leg)
    x0, y0, x1, y1 = (float(v) for v in shapely.total_bounds([s.region for s in slices]))
    whole, size = shapely.box(x0, y0, x1, y1), math.hypot(x1 - x0, y1 - y0)
    if whole.intersects(near):
        return
    tiny, huge = size < leg / 5, size > 5 * leg
    for odd, factor, words in ((tiny, INCH, "inches read as mm"), (huge, 1 / INCH, "millimetres read as inches")):
        if odd and shapely.box(x0 * factor, y0 * factor, x1 * factor, y1 * factor).intersects(near):
            where = f"{name!r} lies at FS {x0:.0f} to {x1:.0f}, WL {y0:.0f} to {y1:.0f} mm, far from the gear"
            raise UnusableFileError(f"{where}; these look like {words}", "the right file_unit")
