"""Commands that write: review, handoff, animate."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkage.cli.crews import ReviewWorkers
from linkage.cli.shared import (
    GOOD,
    SHORT,
    Changes,
    OutputDir,
    StudyFile,
    Watching,
    app,
    check_folder,
    progress,
    ready,
    say,
    solved,
    told,
    watched,
)

if TYPE_CHECKING:
    from linkage.solution import Solution


@app.command()
def review(
    study: StudyFile, output: OutputDir, set_: Changes = None, watch: Watching = False, workers: ReviewWorkers = None
) -> None:
    """Write everything for a design review.

    A page to open, a PDF pack to print, results, tables, drawings, animations and the keep-out files. Exit code as of
    check.
    """
    ready(output)

    if watch:
        watched(study, set_, closely=True, then=lambda solution: _written(solution, output, workers, False))
    solution = solved(study, set_)
    with told():
        solution = _written(solution, output, workers, True)
    raise typer.Exit(GOOD if solution.passed else SHORT)


def _written(solution: Solution, output: Path, workers: int | None, with_findings: bool) -> Solution:
    from linkage.report.review import write_review
    from linkage.report.terminal import findings_lines

    with progress() as tell:
        done = write_review(solution, output, tell, workers)
    if with_findings:
        say([*findings_lines(done.solution), ""])
    say(done.lines())
    return done.solution


@app.command()
def handoff(
    study: StudyFile,
    output: OutputDir,
    against: Annotated[
        Path | None,
        typer.Option(
            "--against", help="folder of an older hand-off: say where the keep-out grew or shrank", metavar="OLDDIR"
        ),
    ] = None,
    set_: Changes = None,
) -> None:
    """Write the keep-out for other programs.

    STEP, STL, GLB, DXF, tables and JSON with a manifest; noseleg verify reads them all again.
    """
    ready(output)
    if against is not None:
        check_folder(against, "keep-out.json", "--against", "a folder of an older hand-off")
    solution = solved(study, set_)
    from linkage.report.hand_over import write_hand_over

    with told(), progress() as tell:
        lines = write_hand_over(solution, output, against, tell)
    say(lines)


@app.command()
def animate(
    study: StudyFile,
    output: Annotated[
        Path,
        typer.Option("--output", "-o", help="a file .mp4, .gif or .webp, or a folder for PNG pictures", metavar="FILE"),
    ],
    frames: Annotated[int, typer.Option(help="number of pictures", min=2, max=5000, metavar="N")] = 120,
    fps: Annotated[float, typer.Option(help="pictures a second", min=1, max=120, metavar="N")] = 25.0,
    size: Annotated[str, typer.Option(help="width x height in pixels", metavar="WxH")] = "1280x720",
    dark: Annotated[bool, typer.Option("--dark", help="light lines on a dark ground")] = False,
    clip: Annotated[
        str, typer.Option(help="retraction, or extension: the emergency extension in real time", metavar="NAME")
    ] = "retraction",
    set_: Changes = None,
) -> None:
    """Write the gear in motion as a film.

    Side view, front view, readouts, and the curves of force and gap.
    """
    ready(output.parent)
    from linkage.report.clips import check_clip, write_clip

    with told():
        check_clip(output, size, clip)
    solution = solved(study, set_)

    with told(), progress() as tell:
        write_clip(solution, output, frames, fps, size, dark, clip, tell)
    say(f"wrote {output}")
