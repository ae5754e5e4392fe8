"""Solution -> the package that packaging takes over."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import numpy as np

from linkage import __version__
from linkage.errors import DocumentError, Fault
from linkage.gear import GearPart
from linkage.handoff.model import (
    Area,
    Circle,
    Entity,
    HandOff,
    Label,
    Layer,
    Line,
    NamedSolid,
    Pin,
    Provenance,
    Slab,
    Unit,
)
from linkage.obstacles import Obstacle
from linkage.plane.outlines import capsule
from linkage.report.cautions import CAUTIONS, GUARANTEE
from linkage.results import Results
from linkage.solution import Solution
from linkage.sweep import Slab as SweptSlab
from linkage.tracks import core_at, in_state

KEEP_OUT_COLOUR = (213, 94, 0)
INNER_COLOUR = (0, 114, 178)
HOT_COLOUR = (204, 121, 167)
KEEP_OUT_FILE = "keep-out.json"
DRAWN_WITHIN = 0.02
"""mm by which round ends in the drawing may lie outside the true part."""


def hand_over(solution: Solution) -> HandOff:
    """Keep-out with its provenance, drawing layers and pins, in the length unit of the study (mm or in).

    ``DocumentError`` where no part of the gear takes any room.
    """
    r = solution.results
    keep_out = r.swept.keep_out
    if not keep_out.slabs:
        wanted = "at least one part, which a keep-out keeps free; [tyre] alone is on no leg"
        raise DocumentError([Fault("gear.part", "no part takes any room", wanted)], solution.source.path.name)
    return HandOff(
        keep_out=NamedSolid("keep-out", KEEP_OUT_COLOUR, _slabs(keep_out.slabs), 0.5),
        provenance=provenance(solution),
        layers=tuple(layers(r)),
        pins=tuple(Pin(name, complex(p[0]), complex(p[-1])) for name, p in r.stroke.pins.items()),
        zones=tuple(zones(r)),
    )


def zones(r: Results) -> Iterator[NamedSolid]:
    """What the study asks for beside the keep-out: where the tyre really goes, and the surroundings of hot items."""
    if r.swept.inner:
        yield NamedSolid("inner zone (tyre)", INNER_COLOUR, _slabs(r.swept.inner), 0.7)
    if r.swept.hot:
        yield NamedSolid(f"hot zone (+{r.study.keep_out.hot_zone:g} mm)", HOT_COLOUR, _slabs(r.swept.hot), 0.4)


def _slabs(slabs: Iterable[SweptSlab]) -> tuple[Slab, ...]:
    return tuple(Slab(s.bl_lo, s.bl_hi, s.region) for s in slabs)


def write_hand_over(
    solution: Solution, folder: Path, against: Path | None = None, tell: Callable[[str], None] = lambda step: None
) -> list[str]:
    """Write the package, and say what was written and, with ``against``, how the keep-out differs from that older one.

    Raises ``HandoffError`` if the older package cannot be read; then nothing is written.
    """
    from linkage.handoff.against import compare, describe
    from linkage.handoff.keepout_json import read_keep_out
    from linkage.handoff.package import write_package

    old = against / KEEP_OUT_FILE if against is not None else None
    with tempfile.TemporaryDirectory() as scratch:
        before = Path(scratch) / KEEP_OUT_FILE  # kept aside: the new package may replace the old one
        if old is not None:
            read_keep_out(old)
            shutil.copyfile(old, before)
        written = write_package(folder, hand_over(solution), progress=tell)
        lines = [f"wrote {len(written.files)} files to {folder}: {', '.join(written.files)}"]
        lines += [f"left out {name}: {why}" for name, why in written.left_out.items()]
        if old is not None:
            lines += describe(compare(folder / KEEP_OUT_FILE, before))
    return lines


def provenance(solution: Solution) -> Provenance:
    """Where the files come from and what they promise."""
    r = solution.results
    unit: Unit = "in" if r.study.units.length in ("in", "ft") else "mm"
    keep_out = r.swept.keep_out
    return Provenance(
        tool_version=__version__,
        study_name=r.study.title,
        study_sha256=solution.source.sha256,
        units=unit,
        states=keep_out.states,
        allowance_mm=keep_out.allowance,
        tolerance_mm=keep_out.tolerance,
        cautions=CAUTIONS if not keep_out.clip else (f"The keep-out is {keep_out.clip}.", *CAUTIONS),
        guarantee=f"{GUARANTEE} But it is {keep_out.clip}." if keep_out.clip else GUARANTEE,
        changes=solution.source.changes,
    )


def layers(r: Results) -> Iterator[Layer]:
    """One layer per thing: gear down, in transit, up, swept region of each part together, bay, text."""
    up = r.stroke.driven_up
    yield Layer("DOWN", tuple(_pose(r, 0.0)), (0, 0, 0), "thick")
    yield Layer("IN TRANSIT", tuple(_pose(r, up / 2)), (86, 180, 233), "phantom")
    yield Layer("UP", tuple(_pose(r, up)), (0, 114, 178), "phantom")
    yield Layer("SWEPT", tuple(Area(p.region) for p in r.swept.parts), (230, 159, 0), "thin")
    yield Layer("BAY", tuple(_bay(o) for o in r.obstacles), (0, 158, 115), "thin")
    yield Layer("TEXT", tuple(_texts(r)), (0, 0, 0))


def _pose(r: Results, driven: float) -> Iterator[Entity]:
    for part in r.gear.parts:
        core = core_at(r.gear, in_state(part, r.gear, 0.0))(np.array([driven]))[0]
        yield _outline(part, [complex(z) for z in core])


def _outline(part: GearPart, core: list[complex]) -> Entity:
    if part.closed:
        return Line(tuple(core), True)
    if len(core) == 1:
        return Circle(core[0], part.radius)
    return Area(capsule(core[0], core[1], part.radius, DRAWN_WITHIN))


def _bay(item: Obstacle) -> Entity:
    if item.line:
        return Line(item.line)
    return Circle(complex(item.shape.x, item.shape.y), item.radius) if item.radius > 0 else Area(item.shape)


def _texts(r: Results) -> Iterator[Label]:
    for name, item in {o.name: o for o in reversed(r.obstacles)}.items():
        middle = item.shape.representative_point()
        yield Label(item.line[0] if item.line else complex(middle.x, middle.y), name)
    for name, point in r.gear.pins.items():
        yield Label(point.at, name, 8.0)
