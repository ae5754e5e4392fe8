"""Everything `noseleg review` writes, in one package with a manifest."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from linkage.drawing.gear_scene import side_view
from linkage.handoff.package import Written, write_package
from linkage.report.force_tables import forces_csv
from linkage.report.hand_over import hand_over
from linkage.report.headline import full
from linkage.report.load_tables import conditions_csv, interface_csv
from linkage.report.moves import moves, section
from linkage.report.sheets import Sheet, disagreements, sheets
from linkage.report.tables import stroke_csv
from linkage.report.writing import json_text
from linkage.sensitivity import Line
from linkage.solution import Solution

if TYPE_CHECKING:
    from linkage.drawing.drawn import Drawn

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Review:
    """What was written where, and what was left out and why."""

    package: Written
    left_out: dict[str, str]
    solution: Solution
    """With the findings of the worked sheets, if one disagrees with the solver."""

    def lines(self) -> Iterator[str]:
        yield f"wrote {len(self.package.files)} files to {self.package.folder}: {', '.join(sorted(self.package.files))}"
        for name, why in self.left_out.items():
            yield f"left out {name}: {why}"


def write_review(solution: Solution, folder: Path, tell: Tell = lambda step: None) -> Review:
    """Write results, pictures, animation and keep-out files into ``folder``: all, or nothing changes there."""
    left_out: dict[str, str] = {}
    tell("worked sheets")
    worked = sheets(solution.results)
    solution = replace(solution, findings=(*disagreements(worked), *solution.findings))
    tell("sensitivity")
    moved = moves(solution)
    more = {
        "results.json": json_text(full(solution, {"sensitivity": section(moved)})).encode(),
        "stroke.csv": stroke_csv(solution.results).encode(),
        "drive-forces.csv": forces_csv(solution.results).encode(),
        "ground-loads.csv": conditions_csv(solution.results).encode(),
        "interface-loads.csv": interface_csv(solution.results).encode(),
    }
    tell("pictures")
    more |= pictures(solution, worked, moved)
    tell("animation")
    more |= clips(solution, left_out, tell)
    package = write_package(folder, hand_over(solution), more, tell)
    return Review(package, {**dict(package.left_out), **left_out}, solution)


def pictures(solution: Solution, worked: tuple[Sheet, ...], moved: tuple[Line, ...]) -> dict[str, bytes]:
    """The page, the pack, the side view on a sheet as SVG and PNG, and every other picture of the gallery as PNG."""
    from linkage.drawing.drawn import drawn
    from linkage.drawing.gear_scene import caption
    from linkage.drawing.save import png_bytes, svg_text
    from linkage.report.figures import side_view_sheet
    from linkage.report.pack import pack
    from linkage.report.page import page

    r = solution.results
    sheet, title, alt = side_view_sheet(solution).figure, side_view(r).title, caption(r)
    svg = svg_text(sheet, title=title, alt=alt, salt="side-view")
    figures = drawn(r)
    return {
        "review.html": page(solution, svg, figures, worked, moved).encode(),
        "review.pdf": pack(solution, svg, figures, worked, moved),
        "side-view.svg": svg.encode(),
        "side-view.png": png_bytes(sheet, title=title, alt=alt, dpi=130),
        **{name: content for d in figures for name, content in _files(d)},
    }


def _files(d: Drawn) -> Iterator[tuple[str, bytes]]:
    """PNG, and SVG where the picture is one to be measured or enlarged."""
    from linkage.drawing.save import png_bytes

    yield f"{d.name}.png", png_bytes(d.figure, title=d.title, alt=d.alt)
    if d.vector:
        yield f"{d.name}.svg", d.svg.encode()


def clips(solution: Solution, left_out: dict[str, str], tell: Tell) -> dict[str, bytes]:
    """The retraction as GIF and, where there is an ffmpeg, as MP4; then also the emergency extension in real time."""
    from linkage.drawing.video import find_ffmpeg
    from linkage.report.clips import write_clip

    wanted = [("retraction.gif", "960x540", "retraction"), ("retraction.mp4", "1280x720", "retraction")]
    if solution.results.extension is not None:
        wanted.append(("extension.mp4", "1280x720", "extension"))
    made: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for name, size, which in wanted:
            if name.endswith(".mp4") and find_ffmpeg() is None:
                left_out[name] = "needs ffmpeg: install the extra (pip install 'noseleg[video]') or put one on the PATH"
                continue
            path = Path(scratch) / name
            write_clip(solution, path, size=size, which=which, tell=tell)
            made[name] = path.read_bytes()
    return made
