"""Everything `noseleg review` writes, in one package with a manifest."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from linkage.beside import Beside, Piece, beside
from linkage.drawing.drawn import close_ups, picture
from linkage.drawing.gallery import gallery
from linkage.drawing.sheet import A3, ANSI_B
from linkage.handoff.package import Written, begun, checked, write_package
from linkage.report.clips import clip_bytes
from linkage.report.figures import side_drawn
from linkage.report.force_tables import forces_csv
from linkage.report.hand_over import hand_over
from linkage.report.headline import full
from linkage.report.load_tables import conditions_csv, interface_csv
from linkage.report.moves import moves, section
from linkage.report.pack.content import INCH_SHEET
from linkage.report.sheets import Sheet, disagreements, sheets
from linkage.report.tables import stroke_csv
from linkage.report.writing import json_text
from linkage.sensitivity import Line
from linkage.solution import Solution

Tell = Callable[[str], None]
SIDE_DPI = 130.0
FRAMES, FPS = 120, 25.0
"""Of the films."""


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


def write_review(solution: Solution, folder: Path, tell: Tell = lambda step: None, processes: int | None = 1) -> Review:
    """Write results, pictures, animation and keep-out files into ``folder``: all, or nothing changes there.

    ``processes`` at work at once; None: as `beside` takes it. Their number changes no byte.
    """
    left_out: dict[str, str] = {}
    tell("worked sheets")
    handoff = checked(hand_over(solution))
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as scratch, beside(processes) as helpers:
        figures = Figures(solution, helpers)
        films = clips(solution, left_out, Path(scratch), helpers)
        files = begun(handoff, helpers)
        worked = sheets(solution.results)
        solution = replace(solution, findings=(*disagreements(worked), *solution.findings))
        tell("sensitivity")
        moved = moves(solution)
        more = tables(solution, moved)
        tell("pictures")
        more |= pictures(solution, figures, worked, moved)
        tell("animation")
        more |= {name: film.result() for name, film in films.items()}
        package = write_package(folder, handoff, more, tell, files)
    return Review(package, {**dict(package.left_out), **left_out}, solution)


def tables(solution: Solution, moved: tuple[Line, ...]) -> dict[str, bytes]:
    """Results and tables."""
    r = solution.results
    return {
        "results.json": json_text(full(solution, {"sensitivity": section(moved)})).encode(),
        "stroke.csv": stroke_csv(r).encode(),
        "drive-forces.csv": forces_csv(r).encode(),
        "ground-loads.csv": conditions_csv(r).encode(),
        "interface-loads.csv": interface_csv(r).encode(),
    }


class Figures:
    """Every picture of a review, given out to be drawn: of results, which a finding of the sheets does not touch."""

    def __init__(self, solution: Solution, helpers: Beside) -> None:
        r = solution.results
        self.side = helpers.begin(side_drawn, solution, A3, "side-view", SIDE_DPI)
        self.inch = helpers.begin(side_drawn, solution, ANSI_B, INCH_SHEET)
        self.gallery = [helpers.begin(picture, r, p.name) for p in gallery(r)]
        self.close = helpers.begin(close_ups, r)


def pictures(
    solution: Solution, figures: Figures, worked: tuple[Sheet, ...], moved: tuple[Line, ...]
) -> dict[str, bytes]:
    """The page, the pack, the side view on a sheet as SVG and PNG, and every other picture of the gallery as PNG."""
    from linkage.report.pack import pack
    from linkage.report.page import page

    side, shown = figures.side.result(), tuple(f.result() for f in figures.gallery)
    inch, close = figures.inch.result(), figures.close.result()
    return {
        "review.html": page(solution, side.svg, shown, worked, moved).encode(),
        "review.pdf": pack(solution, side.svg, shown, worked, moved, inch, close),
        "side-view.svg": side.svg.encode(),
        "side-view.png": side.png,
        **{f"{d.name}.png": d.png for d in shown},
        **{f"{d.name}.svg": d.svg.encode() for d in shown if d.vector},  # to be measured or enlarged
    }


def clips(solution: Solution, left_out: dict[str, str], scratch: Path, helpers: Beside) -> dict[str, Piece[bytes]]:
    """The retraction as GIF and, where there is an ffmpeg, as MP4; then also the emergency extension in real time."""
    from linkage.drawing.video import find_ffmpeg

    wanted = [("retraction.mp4", "1280x720", "retraction"), ("retraction.gif", "960x540", "retraction")]
    if solution.results.extension is not None:
        wanted.append(("extension.mp4", "1280x720", "extension"))
    made: dict[str, Piece[bytes]] = {}
    for name, size, which in wanted:
        if name.endswith(".mp4") and find_ffmpeg() is None:
            left_out[name] = "needs ffmpeg: install the extra (pip install 'noseleg[video]') or put one on the PATH"
            continue
        made[name] = helpers.begin(clip_bytes, solution, scratch / name, FRAMES, FPS, size, which)
    return made
