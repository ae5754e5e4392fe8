"""The command that finds positions: find."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linkage.cli.crews import Cluster, Workers, crew
from linkage.cli.shared import GOOD, SHORT, Changes, OutputDir, StudyFile, app, changed, progress, ready, say, told

MOST = 1e10
"""Candidates in one search: days of work."""


@app.command()
def find(
    study: StudyFile,
    output: OutputDir,
    wanted: Annotated[
        Path | None,
        typer.Option("--wanted", help="file that says what is wanted, if the study does not", metavar="FILE"),
    ] = None,
    candidates: Annotated[
        float, typer.Option(help="how many designs to try, such as 4e6", min=1, max=MOST, metavar="N")
    ] = 4e6,
    seed: Annotated[int, typer.Option(help="the same seed gives the same designs", min=0, metavar="N")] = 1,
    keep: Annotated[int, typer.Option(help="how many designs to find", min=1, max=200, metavar="N")] = 12,
    workers: Workers = None,
    cluster: Cluster = None,
    set_: Changes = None,
) -> None:
    """Find pins that put the wheel where you want it.

    Writes a study for each design found, and why the others were refused. Exit code 0 found, 1 nothing found.
    """
    ready(output)
    with told():
        from linkage.document.wishes import read_with_wishes
        from linkage.report.found import lines, write_found
        from linkage.search.find import find as search
        from linkage.search.interrupts import Interrupts

        changes = changed(set_)
        source = read_with_wishes(study, wanted, changes)
        count = _whole(candidates)
        with crew(workers, cluster) as team, progress() as tell:

            def show(step: str, done: int, total: int, rate: float) -> None:
                tell(step, done, total, _pace(step, rate))

            found = search(source, changes, count, seed, keep, team, show)
        with Interrupts():  # not now: what was found would be lost
            say(lines(found))
            say(write_found(found, source, output))
    raise typer.Exit(GOOD if found.members else SHORT)


def _whole(candidates: float) -> int:
    """A number such as 4e6."""
    from linkage.errors import DocumentError, Fault

    if candidates != candidates:
        raise DocumentError([Fault("--candidates", "nan", "a number such as 4e6")], "command line")
    return int(candidates)


def _pace(step: str, rate: float) -> str:
    return f"{60 * rate / 1e6:.2f} million a minute" if step == "screening" else f"{rate:.1f} designs/s"
